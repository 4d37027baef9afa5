"""What the bank says: statements that were read in, line by line, and what became of each line."""

from django.db import models

from campaign.models.codes import new_code
from campaign.models.ledger import CashEntry
from campaign.models.pledge import Pledge
from campaign.models.show import Show


class BankStatement(models.Model):
    """One file that was read in."""

    class Format(models.TextChoices):
        CAMT = "camt", "CAMT.053"
        CSV = "csv", "CSV"

    show = models.ForeignKey(Show, models.PROTECT, related_name="bank_statements")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    format = models.CharField(max_length=5, choices=Format.choices)
    file_name = models.CharField(max_length=160)
    sha256 = models.CharField(max_length=64)
    iban = models.CharField(max_length=34, blank=True)
    read_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [models.UniqueConstraint(fields=["show", "sha256"], name="a_statement_is_read_once")]

    def __str__(self) -> str:
        return self.file_name


class BankLine(models.Model):
    """
    One movement on the account, known by what it says, so that reading it twice makes one row.

    `same_before` counts movements that read alike before this one, which are different movements all the same.
    """

    class State(models.TextChoices):
        OPEN = "open", "to be looked at"
        BOOKED = "booked", "booked"
        PASSED = "passed", "not of this campaign"

    statement = models.ForeignKey(BankStatement, models.PROTECT, related_name="lines")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    line_hash = models.CharField(max_length=64, unique=True)
    same_before = models.PositiveSmallIntegerField(default=0)
    booked_on = models.DateField()
    amount_minor = models.BigIntegerField(help_text="Below zero for money that left.")
    currency = models.CharField(max_length=3)
    party_name = models.CharField(max_length=140, blank=True)
    party_iban = models.CharField(max_length=34, blank=True)
    reference = models.CharField(max_length=140, blank=True, help_text="Creditor reference or end-to-end number.")
    text = models.CharField(max_length=500, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.OPEN)
    pledge = models.ForeignKey(Pledge, models.PROTECT, null=True, blank=True, related_name="bank_lines")
    entry = models.OneToOneField(CashEntry, models.PROTECT, null=True, blank=True, related_name="bank_line")
    note = models.CharField(max_length=200, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["booked_on", "pk"]
        indexes = [models.Index(fields=["state", "booked_on"])]
        constraints = [
            models.CheckConstraint(condition=~models.Q(amount_minor=0), name="bank_line_moves_money"),
            models.CheckConstraint(
                condition=models.Q(state="open", settled_at=None, entry=None)
                | models.Q(state="booked", settled_at__isnull=False, entry__isnull=False)
                | models.Q(state="passed", settled_at__isnull=False, entry=None),
                name="bank_line_is_booked_exactly_when_it_has_an_entry",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.booked_on} {self.amount_minor}"


class CsvLayout(models.Model):
    """Which column of a bank's CSV file holds what, as the artist said once."""

    name = models.CharField(max_length=80, unique=True)
    columns = models.JSONField(help_text="What is meant -> heading as it stands in the file.")
    written_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
