"""Stored answers of the planning engine: the whole staircase, and the plan that closing the campaign fixed."""

from django.db import models

from campaign.models.show import Show


class StaircaseRun(models.Model):
    """All best shows by money for one state of the inputs, named by their fingerprint."""

    show = models.ForeignKey(Show, models.CASCADE, related_name="staircase_runs")
    inputs_version = models.PositiveIntegerField(help_text="The show's, when this was computed.")
    fingerprint = models.CharField(max_length=64)
    code_version = models.CharField(max_length=20)
    steps = models.JSONField(help_text="[[money_minor, worth, bound_worth, [option index or -1, …]], …], money rising.")
    request = models.JSONField(help_text="The planning request, so that the answer can be checked again.")
    is_quick = models.BooleanField(default=False, help_text="Found fast, its bounds still open; the exact one follows.")
    milliseconds = models.PositiveIntegerField()
    computed_at = models.DateTimeField()

    class Meta:
        ordering = ["-inputs_version", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["show", "fingerprint", "code_version", "is_quick"], name="one_staircase_per_state_of_inputs"
            )
        ]

    def __str__(self) -> str:
        return f"{self.fingerprint[:12]}, {len(self.steps)} steps"


class FixedPlan(models.Model):
    """The show as it will hang, fixed when the campaign closed."""

    show = models.OneToOneField(Show, models.PROTECT, related_name="fixed_plan")
    run = models.ForeignKey(StaircaseRun, models.PROTECT, related_name="+")
    money_minor = models.BigIntegerField(help_text="The wall money it was fixed at.")
    cost_minor = models.BigIntegerField()
    worth = models.BigIntegerField()
    plan = models.JSONField(help_text="Works with option and placement.")
    fixed_at = models.DateTimeField()

    def __str__(self) -> str:
        return f"plan of {self.show}"
