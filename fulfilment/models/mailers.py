"""What parcels travel in and by which post: mailers, how each print may travel, services, what customs asks."""

from django.db import models
from django.db.models import F, Q

from campaign.models import Copy, Edition, Show
from campaign.models.codes import new_code


class Mailer(models.Model):
    """
    A kind of flat mailer or tube that the artist packs in.

    Of a tube width and depth are its diameter. `count` are all that were bought for the show, used ones included, so
    what is left follows from the parcels and never goes below nothing unseen.
    """

    show = models.ForeignKey(Show, models.CASCADE, related_name="mailers")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    name = models.CharField(max_length=80)
    is_tube = models.BooleanField(default=False)
    inner_length_mm = models.PositiveIntegerField()
    inner_width_mm = models.PositiveIntegerField()
    inner_depth_mm = models.PositiveIntegerField()
    outer_length_mm = models.PositiveIntegerField()
    outer_width_mm = models.PositiveIntegerField()
    outer_depth_mm = models.PositiveIntegerField()
    edge_mm = models.PositiveIntegerField(default=0, help_text="Kept free around a flat print, on each side.")
    mass_g = models.PositiveIntegerField(help_text="With its boards, tape and papers.")
    price_minor = models.BigIntegerField(default=0, help_text="Of one.")
    count = models.PositiveIntegerField(default=0, help_text="Bought for the show, used ones included.")

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "name"], name="mailer_names_differ_within_a_show"),
            models.CheckConstraint(
                condition=Q(inner_length_mm__gt=0, inner_width_mm__gt=0, inner_depth_mm__gt=0),
                name="mailer_has_room_inside",
            ),
            models.CheckConstraint(
                condition=Q(
                    outer_length_mm__gte=F("inner_length_mm"), outer_width_mm__gte=F("inner_width_mm"),
                    outer_depth_mm__gte=F("inner_depth_mm"),
                ),
                name="mailer_is_no_smaller_outside_than_inside",
            ),
            models.CheckConstraint(
                condition=Q(is_tube=False)
                | Q(inner_width_mm=F("inner_depth_mm"), outer_width_mm=F("outer_depth_mm"), edge_mm=0),
                name="tube_has_one_diameter_and_no_edge",
            ),
            models.CheckConstraint(condition=Q(price_minor__gte=0), name="mailer_price_is_not_negative"),
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.name


class TravelFacts(models.Model):
    """How a print of an edition may travel, and what customs is told of it; `thickness_um` 0 while nothing is said."""

    class Reason(models.TextChoices):
        SALE = "sale", "sale of goods"
        GIFT = "gift", "gift"

    edition = models.OneToOneField(Edition, models.CASCADE, related_name="travel")
    thickness_um = models.PositiveIntegerField(default=0, help_text="Of one print with its sheath.")
    mass_g = models.PositiveIntegerField(default=0, help_text="Of one print with its sheath, without a mailer.")
    least_tube_mm = models.PositiveIntegerField(default=0, help_text="Inner diameter it may be rolled to; 0: flat.")
    commodity_code = models.CharField(max_length=13, blank=True)
    origin_country = models.CharField(max_length=2, blank=True)
    content_words = models.CharField(max_length=60, blank=True, help_text="What it is, for customs.")
    reason = models.CharField(max_length=4, choices=Reason.choices, default=Reason.SALE)

    class Meta:
        verbose_name_plural = "travel facts"
        constraints = [
            models.CheckConstraint(condition=Q(reason__in=["sale", "gift"]), name="travel_reason_is_known"),
            models.CheckConstraint(
                condition=Q(thickness_um=0, mass_g=0, least_tube_mm=0) | Q(thickness_um__gt=0, mass_g__gt=0),
                name="travel_has_thickness_and_mass_or_neither",
            ),
        ]

    def __str__(self) -> str:
        return f"travel of {self.edition_id}"


class PostService(models.Model):
    """What the post takes to the zone of a show's postage table that has this name; 0 where it says nothing."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="post_services")
    zone = models.CharField(max_length=60)
    name = models.CharField(max_length=80, blank=True)
    is_letter_post = models.BooleanField(default=False)
    mass_g = models.PositiveIntegerField(default=0)
    longest_mm = models.PositiveIntegerField(default=0)
    sum_mm = models.PositiveIntegerField(default=0)
    tube_longest_mm = models.PositiveIntegerField(default=0)
    tube_sum_mm = models.PositiveIntegerField(default=0, help_text="Length and twice the diameter.")
    length_and_girth_mm = models.PositiveIntegerField(default=0)
    least_long_mm = models.PositiveIntegerField(default=0)
    least_short_mm = models.PositiveIntegerField(default=0)
    divisor_mm3_per_g = models.PositiveIntegerField(default=0)
    divisor_from_mm3 = models.PositiveBigIntegerField(default=0)
    insured_up_to_minor = models.BigIntegerField(default=0)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["show", "zone"], name="one_post_service_for_a_zone"),
            models.CheckConstraint(condition=Q(insured_up_to_minor__gte=0), name="post_service_insures_no_debt"),
        ]

    def __str__(self) -> str:
        return self.name or self.zone


class CustomsFacts(models.Model):
    """What customs notes of a show need besides the prints: the price of an SDR on a day, the sender's numbers."""

    show = models.OneToOneField(Show, models.CASCADE, related_name="customs_facts")
    sdr_milli = models.PositiveBigIntegerField(
        null=True, blank=True, help_text="One SDR in thousandths of the currency's smallest unit."
    )
    sdr_read_on = models.DateField(null=True, blank=True)
    eori = models.CharField(max_length=17, blank=True)
    vat_number = models.CharField(max_length=20, blank=True)
    ioss_number = models.CharField(max_length=12, blank=True)

    class Meta:
        verbose_name_plural = "customs facts"
        constraints = [
            models.CheckConstraint(
                condition=Q(sdr_milli=None, sdr_read_on=None) | Q(sdr_milli__gt=0, sdr_read_on__isnull=False),
                name="price_of_an_sdr_has_its_day",
            )
        ]

    def __str__(self) -> str:
        return f"customs facts of {self.show_id}"


class PackAnyway(models.Model):
    """
    The artist's word that a copy which no mailer or limit allows goes into one parcel with its neighbours.

    It is gone once they have their parcel: where they go later it has to be said again.
    """

    copy = models.OneToOneField(Copy, models.CASCADE, related_name="pack_anyway")
    said_at = models.DateTimeField()
    by = models.CharField(max_length=150, blank=True)

    class Meta:
        verbose_name_plural = "copies packed anyway"

    def __str__(self) -> str:
        return f"copy {self.copy_id} anyway"
