"""The price book, the finishes with their recipes, and what the show itself costs."""

from django.db import models

from campaign.models.show import Show


class Unit(models.TextChoices):
    """What a price is for."""

    PIECE = "piece", "piece"
    METRE = "m", "metre"
    SQUARE_METRE = "m2", "square metre"
    MILLILITRE = "ml", "millilitre"
    MINUTE = "minute", "minute"


class Basis(models.TextChoices):
    """What a recipe line is measured by."""

    PIECE = "piece", "per piece"
    PRINT_AREA = "print_area", "per print area"
    OUTER_AREA = "outer_area", "per outer area"
    OUTER_PERIMETER = "outer_perimeter", "per outer perimeter"
    MINUTE = "minute", "per minute"
    INK_AREA = "ink_area", "per print area × ink coverage"
    PRINT_SIZE = "print_size", "by print size, from the size table"
    OUTER_SIZE = "outer_size", "by outer size, from the size table"


class PriceItem(models.Model):
    """
    A material or service in the price book; the price is for `per_milli` thousandths of a unit.

    Sold in packs: the price is for a whole pack of `per_milli`, and nothing less can be bought.
    """

    show = models.ForeignKey(Show, models.CASCADE, related_name="price_items")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    unit = models.CharField(max_length=10, choices=Unit.choices)
    price_minor = models.BigIntegerField()
    per_milli = models.PositiveIntegerField(default=1000)
    mass_g_per_unit = models.PositiveIntegerField(default=0)
    priced_on = models.DateField(null=True, blank=True)
    is_sold_in_packs = models.BooleanField(default=False)
    shelf_milli = models.PositiveBigIntegerField(default=0, help_text="What is there already, thousandths of a unit.")

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="price_codes_differ_within_a_show"),
            models.CheckConstraint(
                condition=models.Q(price_minor__gte=0, per_milli__gt=0), name="price_is_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class PriceStep(models.Model):
    """From this many packs on, every pack costs less."""

    item = models.ForeignKey(PriceItem, models.CASCADE, related_name="steps")
    from_packs = models.PositiveIntegerField()
    price_minor = models.BigIntegerField()

    class Meta:
        ordering = ["from_packs"]
        constraints = [
            models.UniqueConstraint(fields=["item", "from_packs"], name="price_steps_differ_in_packs"),
            models.CheckConstraint(
                condition=models.Q(from_packs__gte=2, price_minor__gte=0), name="price_step_starts_at_two_packs"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} from {self.from_packs}"


class SizePrice(models.Model):
    """A row of an item's size table: what a piece up to this size costs, whichever way it is turned."""

    item = models.ForeignKey(PriceItem, models.CASCADE, related_name="size_prices")
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField()
    price_minor = models.BigIntegerField()

    class Meta:
        ordering = ["price_minor", "width_mm", "height_mm", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["item", "width_mm", "height_mm"], name="size_table_rows_differ_in_size"),
            models.CheckConstraint(
                condition=models.Q(width_mm__gt=0, height_mm__gt=0, price_minor__gte=0), name="size_price_has_a_size"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} up to {self.width_mm}×{self.height_mm}"


class Finish(models.Model):
    """How a work is presented; sizes of border, mat and moulding are per side."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="finishes")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    position = models.PositiveIntegerField(default=0)
    worth = models.PositiveSmallIntegerField(default=50)
    border_mm = models.PositiveIntegerField(default=0)
    mat_mm = models.PositiveIntegerField(default=0)
    moulding_mm = models.PositiveIntegerField(default=0)
    is_printed_at_home = models.BooleanField(default=True)
    setup_minor = models.BigIntegerField(default=0, help_text="Paid once when anything hangs in this finish.")
    least_minor = models.BigIntegerField(default=0, help_text="The least that all works in this finish come to.")
    lead_days = models.PositiveSmallIntegerField(default=0, help_text="Working days from print to finished work.")
    depth_mm = models.PositiveIntegerField(default=0, help_text="How far it stands out from the wall.")
    drop_mm = models.PositiveIntegerField(default=0, help_text="From the top edge down to the hook's bearing point.")
    is_glazed = models.BooleanField(default=False)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="finish_codes_differ_within_a_show"),
            models.CheckConstraint(condition=models.Q(worth__lte=100), name="finish_worth_is_at_most_100"),
            models.CheckConstraint(
                condition=models.Q(setup_minor__gte=0, least_minor__gte=0), name="finish_charges_are_not_negative"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class RecipeLine(models.Model):
    """One cost line of a finish: an item, what it is measured by, how much of it, and the waste."""

    finish = models.ForeignKey(Finish, models.CASCADE, related_name="recipe_lines")
    item = models.ForeignKey(PriceItem, models.PROTECT, related_name="recipe_lines")
    basis = models.CharField(max_length=20, choices=Basis.choices)
    quantity_milli = models.PositiveIntegerField(default=1000, help_text="Thousandths: 1000 is once the basis.")
    waste_bp = models.PositiveIntegerField(default=0)
    position = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return f"{self.item} {self.get_basis_display()}"


class ShowCost(models.Model):
    """A cost of the show as a whole (cards, reception, insurance), paid once if anything hangs."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="show_costs")
    name = models.CharField(max_length=120)
    amount_minor = models.BigIntegerField()
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(amount_minor__gte=0), name="show_cost_is_not_negative")
        ]

    def __str__(self) -> str:
        return self.name
