"""The sheets of labels that the studio has: one kind, said once, for all shows."""

from django.db import models

from campaign.models import Studio


class LabelStock(models.Model):
    """Equal labels on sheets of A4 or Letter, in tenths of a millimetre; whether they fit is asked before."""

    class Page(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "letter", "Letter"

    studio = models.OneToOneField(Studio, models.CASCADE, related_name="label_stock")
    page = models.CharField(max_length=6, choices=Page.choices)
    columns = models.PositiveSmallIntegerField()
    rows = models.PositiveSmallIntegerField()
    width_tenths = models.PositiveSmallIntegerField(help_text="Of one label, 1/10 mm.")
    height_tenths = models.PositiveSmallIntegerField()
    left_tenths = models.PositiveSmallIntegerField(help_text="From the page's edge to the first label.")
    top_tenths = models.PositiveSmallIntegerField()
    gap_x_tenths = models.PositiveSmallIntegerField(default=0, help_text="Between one label and the next.")
    gap_y_tenths = models.PositiveSmallIntegerField(default=0)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(page__in=["A4", "letter"]), name="label_sheet_page_is_known"),
            models.CheckConstraint(
                condition=models.Q(columns__gt=0, rows__gt=0, width_tenths__gt=0, height_tenths__gt=0),
                name="label_sheet_has_labels",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.columns} × {self.rows} labels on {self.page}"
