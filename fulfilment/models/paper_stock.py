"""The paper there is to print on, and which prints go on which paper; not what a recipe reckons with beforehand."""

from django.db import models
from django.db.models.functions import Lower

from campaign.models import Edition, Show


class PaperStock(models.Model):
    """
    One paper in one form: a roll, or sheets of one size; how it is laid out, what is there, what more of it costs.

    A roll has its width, lengths in mm and a price for a whole roll; sheets have width and height, counts and a price
    for a whole pack. `item_code` names the entry of the price book that recipes reckon with: a code and no key,
    because an edit of Measure that is taken back writes those rows anew.
    """

    class Kind(models.TextChoices):
        ROLL = "roll", "roll"
        SHEETS = "sheets", "sheets"

    show = models.ForeignKey(Show, models.CASCADE, related_name="papers")
    code = models.SlugField(max_length=40)
    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=6, choices=Kind.choices)
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField(default=0, help_text="0 for a roll.")
    margin_mm = models.PositiveIntegerField(default=0, help_text="At both sides of a roll, all round a sheet.")
    lead_mm = models.PositiveIntegerField(default=0, help_text="Of a roll, before the first print.")
    tail_mm = models.PositiveIntegerField(default=0, help_text="Of a roll, behind the last print.")
    gap_mm = models.PositiveIntegerField(default=0, help_text="Between prints, for the knife.")
    there_mm = models.PositiveIntegerField(default=0, help_text="Length of the roll that is there.")
    there_sheets = models.PositiveIntegerField(default=0)
    pack_mm = models.PositiveIntegerField(default=0, help_text="Length of a whole roll.")
    pack_sheets = models.PositiveIntegerField(default=0, help_text="Sheets in a pack.")
    price_minor = models.BigIntegerField(default=0, help_text="Of a whole roll or pack.")
    can_turn = models.BooleanField(default=True, help_text="False where its grain or texture runs one way.")
    spoil_bp = models.PositiveIntegerField(default=0, help_text="Share of the prints that may be spoiled, 1/100 %.")
    spare_prints = models.PositiveSmallIntegerField(default=0, help_text="And so many more.")
    drying_hours = models.PositiveSmallIntegerField(null=True, blank=True, help_text="Empty: as the show has it.")
    item_code = models.CharField(max_length=40, blank=True)
    counted_at = models.DateTimeField(help_text="When somebody last said what is there.")

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="paper_codes_differ_within_a_show"),
            models.UniqueConstraint("show", Lower("name"), name="paper_names_differ_within_a_show"),
            models.CheckConstraint(
                condition=models.Q(kind="roll", height_mm=0, there_sheets=0, pack_sheets=0, pack_mm__gt=0)
                | models.Q(kind="sheets", height_mm__gt=0, there_mm=0, pack_mm=0, lead_mm=0, tail_mm=0)
                & models.Q(pack_sheets__gt=0),
                name="paper_is_a_roll_or_sheets",
            ),
            models.CheckConstraint(
                condition=models.Q(width_mm__gt=0, price_minor__gte=0, spoil_bp__lte=10_000),
                name="paper_has_a_width_and_no_price_below_nothing",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_roll(self) -> bool:
        """A roll; otherwise sheets."""
        return self.kind == self.Kind.ROLL


class PaperChoice(models.Model):
    """
    What the artist chose for the prints of a finish or for an edition; where there is no row, the proposal holds.

    `stock` empty: the proposal holds for the paper. `border_mm` is for editions: a finish has its own.
    """

    show = models.ForeignKey(Show, models.CASCADE, related_name="paper_choices")
    finish_code = models.CharField(max_length=40, blank=True)
    edition = models.ForeignKey(Edition, models.CASCADE, null=True, blank=True, related_name="paper_choices")
    stock = models.ForeignKey(PaperStock, models.SET_NULL, null=True, blank=True, related_name="choices")
    border_mm = models.PositiveIntegerField(default=0, help_text="White all round, outside the print.")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "finish_code"], condition=~models.Q(finish_code=""), name="one_paper_for_a_finish"
            ),
            models.UniqueConstraint(fields=["edition"], name="one_paper_for_an_edition"),
            models.CheckConstraint(
                condition=models.Q(finish_code="", edition__isnull=False)
                | (~models.Q(finish_code="") & models.Q(edition=None, border_mm=0)),
                name="paper_is_chosen_for_a_finish_or_an_edition",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.finish_code or self.edition_id} on {self.stock_id}"
