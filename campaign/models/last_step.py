"""What the room Measure held before its last edit, so that the edit can be taken back."""

from django.db import models

from campaign.models.show import Show


class LastStep(models.Model):
    """One per show: the inputs as they were, and what was done to them."""

    show = models.OneToOneField(Show, models.CASCADE, related_name="last_step")
    words = models.CharField(max_length=200, help_text="What was done, as a sentence.")
    before = models.JSONField(help_text="The rows of the inputs before the edit, by model.")
    inputs_version = models.PositiveIntegerField(help_text="The show's after the edit.")
    made_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.words
