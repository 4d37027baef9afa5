"""Works, the sizes each could be printed in, and their pictures."""

from django.db import models

from campaign.models.costing import Finish
from campaign.models.show import Show
from campaign.models.wall import Wall


class Picture(models.Model):
    """
    A verified, resized picture without metadata.

    Kept in the database: one backup, one transaction, no disk to share between hosts.
    """

    source_sha256 = models.CharField(max_length=64, unique=True, help_text="Of the file as handed in.")
    sha256 = models.CharField(max_length=64, unique=True, help_text="Of the WEBP; stands in its address.")
    webp = models.BinaryField()
    thumbnail_webp = models.BinaryField()
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()

    def __str__(self) -> str:
        return f"{self.sha256[:12]} {self.width_px}×{self.height_px}"


class Work(models.Model):
    """One work that could hang; no finishes chosen means any finish will do."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="works")
    code = models.CharField(max_length=40)
    title = models.CharField(max_length=160)
    year = models.CharField(max_length=20, blank=True)
    medium = models.CharField(max_length=120, blank=True)
    series = models.CharField(max_length=80, blank=True)
    alt_text = models.CharField(max_length=300, blank=True)
    need = models.PositiveSmallIntegerField(default=3, help_text="How much the show needs it, 1 to 5.")
    position = models.PositiveIntegerField(default=0)
    picture = models.ForeignKey(Picture, models.SET_NULL, null=True, blank=True, related_name="works")
    finishes = models.ManyToManyField(Finish, blank=True, related_name="works")
    must_hang = models.BooleanField(default=False)
    coverage_percent = models.PositiveSmallIntegerField(default=100, help_text="Ink it takes, of what is usual.")
    pinned_wall = models.ForeignKey(Wall, models.SET_NULL, null=True, blank=True, related_name="pinned_works")
    pinned_middle_mm = models.PositiveIntegerField(null=True, blank=True, help_text="From the wall's left end.")
    pinned_row = models.PositiveSmallIntegerField(default=0, help_text="0 the only or upper row, 1 the lower one.")
    net_minor = models.BigIntegerField(null=True, blank=True, help_text="What is to be left after commission.")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "code"], name="work_codes_differ_within_a_show"),
            models.CheckConstraint(condition=models.Q(need__gte=1, need__lte=5), name="work_need_is_1_to_5"),
            models.CheckConstraint(
                condition=models.Q(pinned_middle_mm=None) | models.Q(pinned_wall__isnull=False),
                name="work_is_pinned_to_a_place_only_on_a_wall",
            ),
            models.CheckConstraint(condition=models.Q(pinned_row__lte=1), name="work_pinned_row_is_0_or_1"),
        ]

    def __str__(self) -> str:
        return self.title


class Size(models.Model):
    """A print size on offer for a work; the factor says how much a size adds to or takes from its worth."""

    work = models.ForeignKey(Work, models.CASCADE, related_name="sizes")
    code = models.CharField(max_length=40)
    width_mm = models.PositiveIntegerField()
    height_mm = models.PositiveIntegerField()
    factor_percent = models.PositiveIntegerField(default=100)

    class Meta:
        ordering = ["width_mm", "height_mm", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["work", "code"], name="size_codes_differ_within_a_work"),
            models.CheckConstraint(condition=models.Q(width_mm__gt=0, height_mm__gt=0), name="size_is_positive"),
        ]

    def __str__(self) -> str:
        return self.code


class OptionWorth(models.Model):
    """The artist's own worth for one work in one size and finish, in place of need × finish × size factor."""

    work = models.ForeignKey(Work, models.CASCADE, related_name="option_worths")
    size = models.ForeignKey(Size, models.CASCADE, related_name="option_worths")
    finish = models.ForeignKey(Finish, models.CASCADE, related_name="option_worths")
    worth = models.PositiveIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["work", "size", "finish"], name="one_worth_per_option")]

    def __str__(self) -> str:
        return f"{self.work} {self.size} {self.finish}: {self.worth}"


class WorkPair(models.Model):
    """Two works that must not hang side by side, or that must hang on the same wall."""

    class Kind(models.TextChoices):
        APART = "apart", "not side by side"
        TOGETHER = "together", "on the same wall"

    show = models.ForeignKey(Show, models.CASCADE, related_name="work_pairs")
    kind = models.CharField(max_length=10, choices=Kind.choices)
    one = models.ForeignKey(Work, models.CASCADE, related_name="+")
    other = models.ForeignKey(Work, models.CASCADE, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["kind", "one", "other"], name="work_pairs_differ"),
            models.CheckConstraint(condition=~models.Q(one=models.F("other")), name="work_pair_has_two_works"),
            models.CheckConstraint(condition=models.Q(kind__in=["apart", "together"]), name="work_pair_kind_is_known"),
        ]

    def __str__(self) -> str:
        return f"{self.one} / {self.other}: {self.get_kind_display()}"
