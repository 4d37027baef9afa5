"""The cash book: one row is one transfer, written once. Database triggers refuse every UPDATE and DELETE."""

from django.db import models

from campaign.models.funder import Funder
from campaign.models.pledge import Pledge
from campaign.models.show import Show


class Account(models.TextChoices):
    """Where money lies, where it comes from and where it goes."""

    BANK = "bank", "bank account"
    CHEQUES = "cheques", "cheques in hand"
    CASH = "cash", "cash box"
    PROCESSOR = "processor", "with the card processor"
    ORDERS = "orders", "orders and gifts of backers"
    SPONSORS = "sponsors", "sponsors"
    GRANTS = "grants", "grants"
    OWN = "own", "own money"
    FEES = "fees", "payment fees"
    COSTS = "costs", "campaign costs"
    REFUNDS = "refunds", "given back to backers"


class CashEntry(models.Model):
    """Money moved from `credit` to `debit`; a correction is a new row that names the one it corrects."""

    show = models.ForeignKey(Show, models.PROTECT, related_name="cash_entries")
    key = models.CharField(max_length=80, unique=True, help_text="Names the act, so that it is booked once.")
    debit = models.CharField(max_length=10, choices=Account.choices)
    credit = models.CharField(max_length=10, choices=Account.choices)
    amount_minor = models.BigIntegerField()
    currency = models.CharField(max_length=3)
    happened_on = models.DateField()
    written_at = models.DateTimeField()
    pledge = models.ForeignKey(Pledge, models.PROTECT, null=True, blank=True, related_name="cash_entries")
    funder = models.ForeignKey(Funder, models.PROTECT, null=True, blank=True, related_name="cash_entries")
    corrects = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="corrected_by")
    text = models.CharField(max_length=300)

    class Meta:
        ordering = ["pk"]
        verbose_name_plural = "cash entries"
        constraints = [
            models.CheckConstraint(condition=models.Q(amount_minor__gt=0), name="cash_amount_is_positive"),
            models.CheckConstraint(
                condition=~models.Q(debit=models.F("credit")), name="cash_moves_between_two_accounts"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.happened_on} {self.text}"
