"""Notices that posting is late, and what each backer answered."""

from django.db import models

from campaign.models.job import Job
from campaign.models.pledge import Pledge
from campaign.models.show import Show


class LateNotice(models.Model):
    """One notice to all who wait: the new posting date, and until when to answer."""

    show = models.ForeignKey(Show, models.PROTECT, related_name="late_notices")
    number = models.PositiveSmallIntegerField(help_text="1 for the first delay, 2 and more for further ones.")
    old_on = models.DateField()
    new_on = models.DateField(null=True, blank=True, help_text="Empty where no date can be given.")
    answer_until_on = models.DateField()
    reason = models.CharField(max_length=500)
    batch = models.OneToOneField(Job, models.PROTECT, null=True, blank=True, related_name="late_notice")
    written_at = models.DateTimeField()
    silent_end_on = models.DateField(
        null=True, blank=True, help_text="The next day with whose end silent orders end; empty once none is left."
    )

    class Meta:
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["show", "number"], name="late_notices_differ_in_number")]

    def __str__(self) -> str:
        return f"late notice {self.number} of {self.show}"


class LateAnswer(models.Model):
    """What a backer says to a late notice; no row means no answer yet."""

    class Word(models.TextChoices):
        WAIT = "wait", "will wait"
        CANCEL = "cancel", "wants the money back"

    notice = models.ForeignKey(LateNotice, models.PROTECT, related_name="answers")
    pledge = models.ForeignKey(Pledge, models.PROTECT, related_name="late_answers")
    word = models.CharField(max_length=6, choices=Word.choices)
    answered_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["notice", "pledge"], name="one_answer_to_a_late_notice"),
            models.CheckConstraint(condition=models.Q(word__in=["wait", "cancel"]), name="late_answer_is_known"),
        ]

    def __str__(self) -> str:
        return f"answer of {self.pledge}"
