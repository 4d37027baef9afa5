"""The price book, the finishes with their recipes, and what the show itself costs."""

from django.db import models

from campaign.models.show import Show


class Unit(models.TextChoices):
    """What a price is for."""

    PIECE = "piece", "piece"
    METRE = "m", "metre"
    SQUARE_METRE = "m2", "square metre"
    MINUTE = "minute", "minute"


class Basis(models.TextChoices):
    """What a recipe line is measured by."""

    PIECE = "piece", "per piece"
    PRINT_AREA = "print_area", "per print area"
    OUTER_AREA = "outer_area", "per outer area"
    OUTER_PERIMETER = "outer_perimeter", "per outer perimeter"
    MINUTE = "minute", "per minute"


class PriceItem(models.Model):
    """A material or service in the price book; the price is for `per_milli` thousandths of a unit."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="price_items")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=120)
    unit = models.CharField(max_length=10, choices=Unit.choices)
    price_minor = models.BigIntegerField()
    per_milli = models.PositiveIntegerField(default=1000)
    mass_g_per_unit = models.PositiveIntegerField(default=0)
    priced_on = models.DateField(null=True, blank=True)

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

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="finish_codes_differ_within_a_show"),
            models.CheckConstraint(condition=models.Q(worth__lte=100), name="finish_worth_is_at_most_100"),
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
