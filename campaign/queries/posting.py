"""The posting date of a show beside what its schedule says."""

from datetime import date

from campaign.models import Show
from campaign.planning.days.posting import PostingAdvice, advise_posting
from campaign.queries.schedule import read_schedule, settled_basis
from campaign.queries.standing import read_standing


def read_posting_advice(show: Show, *, today_on: date) -> PostingAdvice | None:
    """The advice for the fullest show that is promised, or for the fixed plan; None where no print is posted."""
    if not show.editions.exists():
        return None
    schedule, _ = read_schedule(read_standing(show), today_on=today_on, basis=settled_basis(show))
    posting = schedule.find("posting")
    return advise_posting(planned_on=posting.last_on, stated_on=show.posting_by_on) if posting else None
