"""A pledge: prints ordered ahead, or a gift without a print."""

import uuid

from django.db import models

from campaign.models.codes import new_pledge_code
from campaign.models.show import Show


class Pledge(models.Model):
    """What one backer promised; what they paid is in the cash book, which copies are theirs in the copies."""

    class State(models.TextChoices):
        HELD = "held", "waiting for payment"
        PAID = "paid", "paid"
        CANCELLED = "cancelled", "cancelled"
        LAPSED = "lapsed", "lapsed unpaid"

    class Way(models.TextChoices):
        TRANSFER = "transfer", "bank transfer"
        CHEQUE = "cheque", "cheque"
        CASH = "cash", "cash in hand"
        CARD = "card", "card"

    LIVE = (State.HELD, State.PAID)  # has not ended: its copies are its own, its money counts or will
    # (from, act) -> to. The services move a row only by UPDATE … WHERE state = from.
    MOVES = {
        ("held", "pay"): "paid",
        ("held", "cancel"): "cancelled",
        ("held", "lapse"): "lapsed",
        ("paid", "cancel"): "cancelled",
        ("lapsed", "pay"): "paid",
    }

    show = models.ForeignKey(Show, models.PROTECT, related_name="pledges")
    code = models.CharField(max_length=16, unique=True, default=new_pledge_code)
    request_key = models.UUIDField(unique=True, default=uuid.uuid4, help_text="Same submit, same pledge.")
    link_version = models.PositiveIntegerField(default=1, help_text="Raised to make older private links useless.")
    state = models.CharField(max_length=10, choices=State.choices, default=State.HELD)
    # the person; emptied by an erasure, the row stays
    name = models.CharField(max_length=120)
    email = models.EmailField()
    address = models.JSONField(default=dict, blank=True)
    is_thanked_by_name = models.BooleanField(default=False)
    wants_updates = models.BooleanField(default=False)
    message = models.CharField(max_length=500, blank=True)
    # what was agreed, frozen at order time
    copies = models.PositiveSmallIntegerField(default=0, help_text="All copies of its lines; prints and costs too.")
    currency = models.CharField(max_length=3)
    prints_minor = models.BigIntegerField(default=0)
    postage_minor = models.BigIntegerField(default=0)
    gift_minor = models.BigIntegerField(default=0)
    postage_cost_minor = models.BigIntegerField(default=0, help_text="What posting will cost the artist.")
    make_cost_minor = models.BigIntegerField(default=0, help_text="What making them will cost the artist.")
    pack_cost_minor = models.BigIntegerField(default=0, help_text="What packing will cost the artist.")
    set_aside_minor = models.BigIntegerField(default=0, help_text="Kept for tax.")
    tax_name = models.CharField(max_length=60, blank=True)
    tax_bp = models.PositiveIntegerField(default=0)
    tax_minor = models.BigIntegerField(default=0, help_text="All tax within the total, of the artist’s own table.")
    tax_added_minor = models.BigIntegerField(default=0, help_text="The part of it that was added to the prices.")
    posting_by_on = models.DateField(null=True, blank=True, help_text="The posting date agreed to.")
    # paying
    way = models.CharField(max_length=10, choices=Way.choices, default=Way.TRANSFER)
    source = models.ForeignKey(
        "campaign.Source",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="pledges",
        help_text="The link followed.",
    )
    reference = models.CharField(max_length=25, unique=True, help_text="ISO 11649 creditor reference.")
    placed_at = models.DateTimeField()
    hold_until_at = models.DateTimeField()
    reminded_at = models.DateTimeField(null=True, blank=True)
    paid_at = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)
    erased_at = models.DateTimeField(null=True, blank=True, help_text="Name and addresses were removed.")
    # where it goes
    address_asked_at = models.DateTimeField(null=True, blank=True, help_text="Asked whether it is right.")
    address_reminded_at = models.DateTimeField(null=True, blank=True)
    address_confirmed_at = models.DateTimeField(
        null=True, blank=True, help_text="The backer said that every address of the order is right."
    )

    was_there = False  # no column: True where a submit found the pledge that the same submit made before

    class Meta:
        ordering = ["placed_at", "pk"]
        indexes = [
            models.Index(fields=["show", "state"]),
            models.Index(fields=["state", "hold_until_at"]),
        ]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=["held", "paid", "cancelled", "lapsed"]), name="pledge_state_is_known"
            ),
            models.CheckConstraint(
                condition=models.Q(
                    prints_minor__gte=0, postage_minor__gte=0, gift_minor__gte=0, set_aside_minor__gte=0,
                    postage_cost_minor__gte=0, make_cost_minor__gte=0, pack_cost_minor__gte=0,
                    tax_added_minor__gte=0, tax_minor__gte=models.F("tax_added_minor"),
                ),
                name="pledge_sums_are_not_negative",
            ),
            models.CheckConstraint(
                condition=models.Q(prints_minor__gt=0) | models.Q(gift_minor__gt=0), name="pledge_is_for_something"
            ),
            models.CheckConstraint(
                condition=models.Q(copies=0, prints_minor=0) | models.Q(copies__gt=0, prints_minor__gt=0),
                name="pledge_has_copies_exactly_when_it_pays_for_prints",
            ),
            models.CheckConstraint(
                condition=~models.Q(state="paid") | models.Q(paid_at__isnull=False), name="paid_pledge_has_a_moment"
            ),
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.code

    @property
    def is_live(self) -> bool:
        """It has not ended."""
        return self.state in self.LIVE

    @property
    def total_minor(self) -> int:
        """What the backer is to pay, postage and added tax included, in minor units."""
        return self.prints_minor + self.postage_minor + self.gift_minor + self.tax_added_minor


class ChangeRequest(models.Model):
    """What a backer asks for after the cut-off; the artist answers."""

    class State(models.TextChoices):
        ASKED = "asked", "waiting for an answer"
        DONE = "done", "done"
        DECLINED = "declined", "declined"

    pledge = models.ForeignKey(Pledge, models.PROTECT, related_name="change_requests")
    request_key = models.UUIDField(unique=True, default=uuid.uuid4, help_text="Same submit, same request.")
    text = models.CharField(max_length=1000)
    state = models.CharField(max_length=10, choices=State.choices, default=State.ASKED)
    answer = models.CharField(max_length=1000, blank=True)
    asked_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["asked_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state="asked", answered_at=None)
                | models.Q(state__in=["done", "declined"], answered_at__isnull=False),
                name="change_request_has_a_moment_exactly_when_answered",
            )
        ]

    def __str__(self) -> str:
        return f"request {self.pk} on {self.pledge}"
