"""Taking back the last step of Measure: what it held before each edit is kept, and put back once."""

from typing import Any

from django.db import connection, transaction

from campaign.errors import NotReady, PlanIsFixed, StepIsPast
from campaign.models import LastStep, Show
from campaign.queries.last_step import TAKEN_BACK
from campaign.services.input_rows import Rows, are_alike, read_rows, write_rows
from campaign.services.plans import touch_inputs


def keep_step(show: Show, *, doing: str, version: int) -> LastStep:
    """
    Keep the inputs of `show` as they are before an edit; inside the edit's own transaction.

    Parameters: doing, what the edit does, as a sentence without its full stop; version, the show's inputs_version
        after the edit.
    Notes: a step that changed nothing (a form sent twice) makes room for the one before it, see `_real`.
    """
    assert connection.in_atomic_block, "a step is kept inside the transaction of the edit"
    rows = read_rows(show)
    before = {"rows": rows, "earlier": _real(LastStep.objects.filter(show=show).first(), show=show, rows=rows)}
    return _replace(show, words=doing, before=before, version=version)


@transaction.atomic(durable=True)
def take_back(*, show: Show, step: int) -> str:
    """
    Put the inputs back to what they were before the last step, every row with its key.

    Parameters: step, the key of the LastStep that the page showed. Returns: what was taken back, as a sentence.
    Writes: every model that Measure edits; LastStep, by which this can be taken back in turn.
    Raises: PlanIsFixed once the campaign is closed; StepIsPast when `step` is not the last one any more, or the inputs
        were changed by something that keeps no steps; InUse, NotReady where the old rows cannot come back.
    Repeat: taken back once.
    """
    current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
    if current.closed_at is not None:
        raise PlanIsFixed(closed_at=current.closed_at.astimezone(current.zone))
    last = LastStep.objects.filter(show=current).first()
    if last is not None and last.before.get("took_back") == step:
        words: str = last.words.removeprefix(TAKEN_BACK)
        return words
    if last is None or last.pk != step or last.inputs_version != current.inputs_version:
        raise StepIsPast
    present = read_rows(current)
    target = _real(last, show=current, rows=present)
    if target is None:
        raise NotReady("The last step changed nothing, so there is nothing to take back.")
    write_rows(current, rows=target["rows"], present=present)
    touch_inputs(current)
    is_again = target["words"].startswith(TAKEN_BACK)
    words = target["words"].removeprefix(TAKEN_BACK)
    _replace(
        current,
        words=words if is_again else f"{TAKEN_BACK}{words}",
        before={"rows": present, "earlier": None, "took_back": step},
        version=current.inputs_version,
    )
    return words


def drop_idle_step(show: Show) -> None:
    """
    Forget a last step that changed nothing, so that the one before it can still be taken back.

    Writes: LastStep.
    Repeat: nothing more is forgotten.
    """
    with transaction.atomic():
        current = Show.objects.select_for_update(no_key=True).get(pk=show.pk)
        last = LastStep.objects.filter(show=current).first()
        if last is None or last.inputs_version != current.inputs_version:
            return
        if not are_alike(read_rows(current), last.before["rows"]):
            return
        earlier = last.before["earlier"]
        last.delete()
        if earlier:
            before = {"rows": earlier["rows"], "earlier": None}
            _replace(current, words=earlier["words"], before=before, version=current.inputs_version)


def _real(step: LastStep | None, *, show: Show, rows: Rows) -> dict[str, Any] | None:
    """What taking back would now restore, given the rows as they are: words and rows; None for nothing."""
    if step is None or step.inputs_version != show.inputs_version:
        return None
    if not are_alike(step.before["rows"], rows):
        return {"words": step.words, "rows": step.before["rows"]}
    earlier: dict[str, Any] | None = step.before.get("earlier")
    return earlier


def _replace(show: Show, *, words: str, before: dict[str, Any], version: int) -> LastStep:
    # A new row each time: its key names the step in the pages that offer to take it back.
    LastStep.objects.filter(show=show).delete()
    short = words if len(words) <= 180 else f"{words[:179]}…"
    return LastStep.objects.create(show=show, words=short, before=before, inputs_version=version)
