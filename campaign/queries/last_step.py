"""What the studio offers to take back: the last step of Measure, by its words alone."""

from dataclasses import dataclass

from campaign.models import LastStep, Show

TAKEN_BACK = "Taken back: "


@dataclass(frozen=True, slots=True)
class Step:
    """The last step: its key, and the words on its button."""

    key: int
    button: str


def find_step(show: Show) -> Step | None:
    """The step that can be taken back now; None where there is none, or nothing can be taken back any more."""
    if show.closed_at is not None:
        return None
    found = LastStep.objects.filter(show=show, inputs_version=show.inputs_version).values_list("pk", "words").first()
    if found is None:
        return None
    key, words = found
    again = words.startswith(TAKEN_BACK)
    return Step(key, f"Do again: {words.removeprefix(TAKEN_BACK)}" if again else f"Take back: {words}")
