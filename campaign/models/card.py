"""Card payments through a processor's hosted page. No card data ever comes here; the processor's figures do."""

from django.db import models

from campaign.models.codes import new_key
from campaign.models.pledge import Pledge


class CardPayment(models.Model):
    """
    One attempt of a backer to pay by card.

    Written, with its key, before the processor is called: a call whose answer was lost is asked again with the same
    key, so nobody is charged twice.
    """

    class State(models.TextChoices):
        WANTED = "wanted", "asked for"
        OPEN = "open", "at the processor"
        PAID = "paid", "paid"
        EXPIRED = "expired", "not paid"
        FAILED = "failed", "could not be opened"

    pledge = models.ForeignKey(Pledge, models.PROTECT, related_name="card_payments")
    key = models.CharField(max_length=40, unique=True, default=new_key, help_text="Idempotency key of the first call.")
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    state = models.CharField(max_length=8, choices=State.choices, default=State.WANTED)
    session_id = models.CharField(max_length=120, blank=True, db_index=True)
    payment_id = models.CharField(max_length=120, blank=True, db_index=True)
    pay_url = models.URLField(max_length=1000, blank=True)
    fee_minor = models.BigIntegerField(null=True, blank=True, help_text="The processor’s own figure.")
    available_on = models.DateField(null=True, blank=True, help_text="When the processor pays it out.")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField(null=True, blank=True)
    paid_at = models.DateTimeField(null=True, blank=True)
    looked_at = models.DateTimeField(null=True, blank=True, help_text="When it was last compared with the processor.")
    payout = models.ForeignKey(
        "campaign.Payout", models.PROTECT, null=True, blank=True, related_name="payments", help_text="It went out with."
    )
    last_error = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["state", "created_at"])]
        constraints = [
            models.CheckConstraint(condition=models.Q(amount_minor__gt=0), name="card_payment_is_positive"),
            models.CheckConstraint(
                condition=models.Q(state__in=["wanted", "open", "paid", "expired", "failed"]),
                name="card_payment_state_is_known",
            ),
            models.UniqueConstraint(
                fields=["session_id"], condition=~models.Q(session_id=""), name="card_sessions_differ"
            ),
            models.UniqueConstraint(
                fields=["pledge"],
                condition=models.Q(state__in=["wanted", "open"]),
                name="an_order_is_paid_by_card_in_one_place",
            ),
        ]

    def __str__(self) -> str:
        return f"card payment {self.pk} of {self.pledge}"


class ProcessorEvent(models.Model):
    """
    What the processor told us happened, kept before the answer 200; applied later by the worker.

    Only names are kept: amounts are fetched anew before they are believed.
    """

    event_id = models.CharField(max_length=120, unique=True)
    payment = models.ForeignKey(CardPayment, models.PROTECT, null=True, blank=True, related_name="events")
    kind = models.CharField(max_length=80)
    object_id = models.CharField(max_length=120)
    happened_at = models.DateTimeField()
    received_at = models.DateTimeField()
    applied_at = models.DateTimeField(null=True, blank=True)
    lease_until_at = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    outcome = models.CharField(max_length=300, blank=True)
    is_trouble = models.BooleanField(default=False, help_text="The artist should look at it.")

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["applied_at", "received_at"])]

    def __str__(self) -> str:
        return f"{self.kind} {self.event_id}"


class Payout(models.Model):
    """Money the processor moved to the bank account, or will."""

    payout_id = models.CharField(max_length=120, unique=True)
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    arrives_on = models.DateField()
    state = models.CharField(max_length=20, help_text="The processor’s own word.")
    looked_at = models.DateTimeField()

    class Meta:
        ordering = ["-arrives_on", "-pk"]

    def __str__(self) -> str:
        return f"{self.arrives_on} {self.amount_minor}"

    @property
    def state_words(self) -> str:
        """The processor's word in plain English; another one as it is."""
        words = {
            "pending": "to be sent", "in_transit": "on its way", "paid": "arrived",
            "failed": "came back", "canceled": "called off",
        }  # fmt: skip
        return words.get(self.state, self.state.replace("_", " "))


class Dispute(models.Model):
    """A backer told their bank that a card payment was not right; the bank may take the money back."""

    dispute_id = models.CharField(max_length=120, unique=True)
    payment = models.ForeignKey(CardPayment, models.PROTECT, related_name="disputes")
    amount_minor = models.BigIntegerField()
    state = models.CharField(max_length=40, help_text="The processor’s own word.")
    reason = models.CharField(max_length=60, blank=True, help_text="The processor’s own word.")
    answer_by_at = models.DateTimeField(null=True, blank=True, help_text="Until then the artist can answer it.")
    opened_at = models.DateTimeField()
    looked_at = models.DateTimeField()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        constraints = [models.CheckConstraint(condition=models.Q(amount_minor__gt=0), name="dispute_is_positive")]

    def __str__(self) -> str:
        return self.dispute_id

    OVER = ("won", "lost", "warning_closed")  # the processor's own words; nothing more comes of it

    @property
    def is_open(self) -> bool:
        """The artist can still answer."""
        return "needs_response" in self.state

    @property
    def state_words(self) -> str:
        """The processor's word in plain English; another one as it is."""
        words = {"needs_response": "waits for your answer", "under_review": "the bank looks at your answer"}
        return words.get(self.state, self.state.replace("_", " "))


class Reconciliation(models.Model):
    """One comparison of the processor's lists with our rows: what was mended, and what differs still."""

    asked_at = models.DateTimeField()
    lease_until_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    payments = models.PositiveIntegerField(default=0, help_text="Payments compared.")
    mended = models.JSONField(default=list, blank=True, help_text="Sentences.")
    differences = models.JSONField(default=list, blank=True, help_text="Sentences.")
    last_error = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"comparison of {self.asked_at:%Y-%m-%d %H:%M}"
