"""Walls of the room and what stands in the way on them."""

from django.db import models

from campaign.models.show import Show


class Wall(models.Model):
    """One wall, measured; heights from the floor, places from its left edge, millimetres."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="walls")
    code = models.CharField(max_length=40)
    name = models.CharField(max_length=80)
    position = models.PositiveIntegerField(default=0)
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField()
    centre_mm = models.PositiveIntegerField(help_text="Height of the centre line.")
    end_margin_mm = models.PositiveIntegerField(default=0)
    rows = models.PositiveSmallIntegerField(default=1)
    row_height_mm = models.PositiveIntegerField(default=0, help_text="The tallest work of a row, where there are two.")
    row_gap_mm = models.PositiveIntegerField(default=0, help_text="Between two rows.")
    min_gap_mm = models.PositiveIntegerField(null=True, blank=True, help_text="In place of the show's.")
    material = models.CharField(max_length=120, blank=True)
    load_note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="wall_codes_differ_within_a_show"),
            models.CheckConstraint(condition=models.Q(width_mm__gt=0, height_mm__gt=0), name="wall_has_a_size"),
            models.CheckConstraint(
                condition=models.Q(centre_mm__lt=models.F("height_mm")), name="wall_centre_line_is_on_the_wall"
            ),
            models.CheckConstraint(
                condition=models.Q(rows=1) | models.Q(rows=2, row_height_mm__gt=0), name="wall_has_one_or_two_rows"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class BlockedArea(models.Model):
    """A door, window, switch or radiator: nothing hangs across it."""

    wall = models.ForeignKey(Wall, models.CASCADE, related_name="blocked_areas")
    name = models.CharField(max_length=80, blank=True)
    kind = models.CharField(max_length=40)
    x_mm = models.PositiveIntegerField(help_text="Left edge, from the wall's left end.")
    y_mm = models.PositiveIntegerField(help_text="Lower edge, from the floor.")
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField()

    class Meta:
        ordering = ["x_mm", "y_mm", "pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(width_mm__gt=0, height_mm__gt=0), name="blocked_area_has_a_size")
        ]

    def __str__(self) -> str:
        return self.name or self.kind
