"""What backers ask for, as the studio lists it: what waits first, the oldest of it on top."""

from django.db.models import Case, F, IntegerField, QuerySet, Value, When

from campaign.models import ChangeRequest, Pledge, Show

ASKED = ChangeRequest.State.ASKED


def list_change_requests(show: Show) -> QuerySet[ChangeRequest]:
    """Those that wait, the oldest first; then those that were answered, the newest first."""
    order = Case(When(state=ASKED, then=Value(0)), default=Value(1), output_field=IntegerField())
    found = ChangeRequest.objects.filter(pledge__show=show).select_related("pledge")
    return found.annotate(is_over=order).order_by("is_over", F("answered_at").desc(nulls_first=True), "asked_at", "pk")


def count_waiting(show: Show) -> int:
    """How many wait for an answer."""
    return ChangeRequest.objects.filter(pledge__show=show, state=ASKED).count()


def list_waiting_of(pledge: Pledge) -> list[ChangeRequest]:
    """What one backer asked for and has no answer to yet, the oldest first."""
    return list(pledge.change_requests.filter(state=ASKED))


def list_requests_of(pledge: Pledge) -> list[ChangeRequest]:
    """What one backer asked for, the oldest first."""
    return list(pledge.change_requests.all())
