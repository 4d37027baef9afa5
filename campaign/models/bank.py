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
    value_on = models.DateField(null=True, blank=True)
    amount_minor = models.BigIntegerField(help_text="Below zero for money that left.")
    fee_minor = models.BigIntegerField(default=0, help_text="What the bank took out of it on the way.")
    currency = models.CharField(max_length=3)
    party_name = models.CharField(max_length=140, blank=True)
    party_iban = models.CharField(max_length=34, blank=True)
    reference = models.CharField(max_length=140, blank=True, help_text="Creditor reference or end-to-end number.")
    text = models.CharField(max_length=500, blank=True)
    is_reversal = models.BooleanField(default=False)
    state = models.CharField(max_length=8, choices=State.choices, default=State.OPEN)
    pledge = models.ForeignKey(Pledge, models.PROTECT, null=True, blank=True, related_name="bank_lines")
    entry = models.OneToOneField(CashEntry, models.PROTECT, null=True, blank=True, related_name="bank_line")
    kept_minor = models.BigIntegerField(default=0, help_text="Too much, kept as a gift with the backer’s consent.")
    note = models.CharField(max_length=200, blank=True)
    settled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["booked_on", "pk"]
        indexes = [models.Index(fields=["state", "booked_on"])]
        constraints = [
            models.CheckConstraint(condition=~models.Q(amount_minor=0), name="bank_line_moves_money"),
            models.CheckConstraint(
                condition=models.Q(fee_minor__gte=0, kept_minor__gte=0), name="bank_line_sums_are_not_negative"
            ),
            models.CheckConstraint(
                condition=models.Q(state="open", settled_at=None, entry=None)
                | models.Q(state="booked", settled_at__isnull=False, entry__isnull=False)
                | models.Q(state="passed", settled_at__isnull=False, entry=None),
                name="bank_line_is_booked_exactly_when_it_has_an_entry",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.booked_on} {self.amount_minor}"


class BankUpload(models.Model):
    """A CSV file that waits until the artist has said what its columns mean; deleted once it is read in."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="bank_uploads")
    code = models.CharField(max_length=16, unique=True, default=new_code)
    file_name = models.CharField(max_length=160)
    content = models.BinaryField()
    sent_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return self.file_name


class CsvLayout(models.Model):
    """Which column of a bank's CSV file holds what, as the artist said once."""

    name = models.CharField(max_length=80, unique=True)
    headings_sha256 = models.CharField(
        max_length=64, unique=True, help_text="Of the headings, so that they are known again."
    )
    columns = models.JSONField(help_text="Headings, the heading of each meaning, the order of days.")
    written_at = models.DateTimeField()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
