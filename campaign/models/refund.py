"""Money that goes back to a backer, by the way it came."""

from django.db import models

from campaign.models.card import CardPayment
from campaign.models.codes import new_key
from campaign.models.job import Job
from campaign.models.ledger import CashEntry
from campaign.models.pledge import Pledge


class Refund(models.Model):
    """One sum to give back; what has gone is in the cash book."""

    class State(models.TextChoices):
        OWED = "owed", "to be given back"
        SENDING = "sending", "with the processor"
        DONE = "done", "given back"
        FAILED = "failed", "could not be given back"
        CALLED_OFF = "called_off", "called off"

    pledge = models.ForeignKey(Pledge, models.PROTECT, related_name="refunds")
    key = models.CharField(max_length=80, unique=True, default=new_key, help_text="Same act, same refund.")
    amount_minor = models.BigIntegerField()
    way = models.CharField(max_length=10, choices=Pledge.Way.choices)
    reason = models.CharField(max_length=200)
    state = models.CharField(max_length=10, choices=State.choices, default=State.OWED)
    batch = models.ForeignKey(Job, models.PROTECT, null=True, blank=True, related_name="refunds")
    iban = models.CharField(max_length=34, blank=True, help_text="Where the money came from, for a transfer.")
    account_holder = models.CharField(max_length=140, blank=True)
    card_payment = models.ForeignKey(CardPayment, models.PROTECT, null=True, blank=True, related_name="refunds")
    processor_id = models.CharField(max_length=120, blank=True)
    entry = models.OneToOneField(CashEntry, models.PROTECT, null=True, blank=True, related_name="refund")
    created_at = models.DateTimeField()
    lease_until_at = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    done_at = models.DateTimeField(null=True, blank=True)
    last_error = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["state", "way"])]
        constraints = [
            models.CheckConstraint(condition=models.Q(amount_minor__gt=0), name="refund_is_positive"),
            models.CheckConstraint(
                condition=models.Q(state__in=["owed", "sending", "done", "failed", "called_off"]),
                name="refund_state_is_known",
            ),
            models.CheckConstraint(
                condition=~models.Q(state="done") | models.Q(entry__isnull=False, done_at__isnull=False),
                name="refund_is_done_only_when_booked",
            ),
        ]

    def __str__(self) -> str:
        return f"refund {self.pk} of {self.pledge}"
