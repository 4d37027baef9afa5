"""Mails that must go out, and addresses that must not be written to."""

import uuid

from django.db import models


class OutboxMessage(models.Model):
    """One mail, written in the transaction of the act it tells of; claimed by lease, sent outside any transaction."""

    class State(models.TextChoices):
        PENDING = "pending", "waiting"
        PAUSED = "paused", "held back by you"
        SENDING = "sending", "being sent"
        SENT = "sent", "sent"
        STUCK = "stuck", "could not be sent"
        UNKNOWN = "unknown", "may or may not have been sent"
        DROPPED = "dropped", "not sent, as wished"

    class Kind(models.TextChoices):
        TRANSACTIONAL = "transactional", "about one's own order"
        CAMPAIGN = "campaign", "news to many"

    uid = models.UUIDField(unique=True, default=uuid.uuid4, help_text="Becomes the Message-ID.")
    key = models.CharField(max_length=120, unique=True, help_text="Same act, same mail.")
    name = models.CharField(max_length=40, help_text="Which mail: pledge_placed, …")
    kind = models.CharField(max_length=14, choices=Kind.choices)
    batch = models.ForeignKey("campaign.Job", models.PROTECT, null=True, blank=True, related_name="messages")
    show = models.ForeignKey("campaign.Show", models.PROTECT, null=True, blank=True, related_name="messages")
    recipient = models.EmailField()
    subject = models.CharField(max_length=160)
    text = models.TextField()
    html = models.TextField()
    headers = models.JSONField(default=dict, blank=True)
    state = models.CharField(max_length=8, choices=State.choices, default=State.PENDING)
    due_at = models.DateTimeField()
    lease_until_at = models.DateTimeField(null=True, blank=True)
    is_data_handed_over = models.BooleanField(default=False, help_text="Set just before the mail server gets the text.")
    attempts = models.PositiveSmallIntegerField(default=0)
    last_error = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()
    sent_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        indexes = [models.Index(fields=["state", "due_at"])]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(state__in=["pending", "paused", "sending", "sent", "stuck", "unknown", "dropped"]),
                name="message_state_is_known",
            ),
            models.CheckConstraint(
                condition=models.Q(state="sent", sent_at__isnull=False)
                | (~models.Q(state="sent") & models.Q(sent_at=None)),
                name="message_has_a_moment_exactly_when_sent",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.state}"


class Bounce(models.Model):
    """A mail server told that mail to an address did not arrive; the address itself goes with an erasure."""

    class Kind(models.TextChoices):
        HARD = "hard", "does not exist"
        SOFT = "soft", "did not take it"

    email = models.EmailField(db_index=True)
    kind = models.CharField(max_length=4, choices=Kind.choices)
    status = models.CharField(max_length=12, blank=True, help_text="RFC 3463 code.")
    words = models.CharField(max_length=300, blank=True)
    message = models.ForeignKey(OutboxMessage, models.SET_NULL, null=True, blank=True, related_name="bounces")
    report_hash = models.CharField(max_length=64, unique=True, help_text="Same report, same row.")
    read_at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"bounce {self.pk}"


class Erasure(models.Model):
    """Somebody's data was removed; kept so that it can be removed again after an old backup is restored."""

    pledge_code = models.CharField(max_length=16, blank=True)
    email_hash = models.CharField(max_length=64, help_text="Salted; tells whether an address is meant, not which.")
    reason = models.CharField(max_length=80)
    erased_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"erasure {self.pk}"


class Suppression(models.Model):
    """An address that wants no news of a show; mails about its own orders still go out."""

    show = models.ForeignKey("campaign.Show", models.CASCADE, related_name="suppressions")
    email = models.EmailField()
    created_at = models.DateTimeField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["show", "email"], name="one_suppression_per_show_and_address")]

    def __str__(self) -> str:
        return f"suppression {self.pk}"
