"""What reading a statement in or booking its lines did, in a sentence for the artist."""

from campaign.measures.words import count_of
from campaign.services.bank_statements import ReadIn


def read_words(done: ReadIn) -> str:
    """How many lines are new, how many were read before."""
    if not done.added:
        return "Every line of it was read in before; nothing has changed."
    again = f" {count_of(done.known, 'line')} of it {'was' if done.known == 1 else 'were'} here before." * bool(
        done.known
    )
    return " ".join([f"{count_of(done.added, 'line')} read in, nothing booked yet.{again}", *done.notes])


def booked_words(count: int) -> str:
    """How many lines were booked."""
    return f"{count_of(count, 'line')} booked."
