"""Long work with progress that survives closing the page, and the papers it makes."""

from django.db import models

from campaign.models.codes import new_key
from campaign.models.show import Show


class Job(models.Model):
    """One piece of long work; the row is the truth, the worker only moves it on."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting"
        RUNNING = "running", "at work"
        PAUSED = "paused", "paused"
        DONE = "done", "done"
        FAILED = "failed", "stopped by an error"
        CANCELLED = "cancelled", "called off"

    show = models.ForeignKey(Show, models.PROTECT, related_name="jobs")
    code = models.CharField(max_length=20, unique=True, default=new_key)
    kind = models.CharField(max_length=30)
    key = models.CharField(max_length=120, unique=True, help_text="Same act, same job.")
    title = models.CharField(max_length=160)
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    done = models.PositiveIntegerField(default=0)
    total = models.PositiveIntegerField(default=0)
    starts_at = models.DateTimeField(help_text="Not before; leaves a minute to call it off.")
    lease_until_at = models.DateTimeField(null=True, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    error = models.CharField(max_length=500, blank=True)
    created_at = models.DateTimeField()
    finished_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        indexes = [models.Index(fields=["state", "kind"])]
        constraints = [
            models.CheckConstraint(condition=models.Q(done__lte=models.F("total")), name="job_is_never_more_than_done"),
            models.CheckConstraint(
                condition=models.Q(state__in=["waiting", "running", "paused", "done", "failed", "cancelled"]),
                name="job_state_is_known",
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def is_over(self) -> bool:
        """Nothing more will happen to it."""
        return self.state in (self.State.DONE, self.State.FAILED, self.State.CANCELLED)


class Paper(models.Model):
    """A PDF that a job made. In the database, so that any host can make it and any other show it."""

    job = models.ForeignKey(Job, models.CASCADE, related_name="papers")
    code = models.CharField(max_length=20, unique=True, default=new_key)
    name = models.CharField(max_length=120, help_text="File name.")
    title = models.CharField(max_length=160)
    pages = models.PositiveIntegerField()
    pdf = models.BinaryField()
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [models.UniqueConstraint(fields=["job", "name"], name="a_job_makes_each_paper_once")]

    def __str__(self) -> str:
        return self.name
