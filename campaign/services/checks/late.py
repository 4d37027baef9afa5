"""Answers to notices of late posting against the orders they are about."""

from collections.abc import Iterator

from campaign.models import LateAnswer, Pledge
from campaign.services.checks.findings import Finding, finding


def check_late_answers() -> Finding:
    """Who wanted the money back has no live order, and every answer is about a notice of the order's own show."""
    return finding("answers to late notices", _late_answers())


def _late_answers() -> Iterator[str | None]:
    for answer in LateAnswer.objects.select_related("notice", "pledge").iterator():
        pledge = answer.pledge
        if pledge.show_id != answer.notice.show_id:
            yield f"order {pledge.code} answers a notice of another show"
        elif answer.word == LateAnswer.Word.CANCEL and pledge.state != Pledge.State.CANCELLED:
            yield f"order {pledge.code} wants the money back and is {pledge.state}"
        else:
            yield None
