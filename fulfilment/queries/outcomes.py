"""A parcel with its history, and what can be done next, in words."""

from dataclasses import dataclass

from campaign.models import Copy, OutboxMessage, Pledge
from fulfilment.models import Parcel, ParcelEvent
from fulfilment.queries.parcels import read_notices

Kind = ParcelEvent.Kind
OUTCOMES = (Kind.DELIVERED, Kind.RETURNED, Kind.DAMAGED, Kind.LOST)
BACK = (Kind.RETURNED, Kind.DAMAGED, Kind.LOST)  # after these it may go out once more
NEXT = {
    "": (
        "Nothing is known of it since it was posted. When you hear of it, or its tracking number shows something, "
        "write it down below."
    ),
    Kind.DELIVERED: "It has arrived. Nothing is left to do.",
    Kind.RETURNED: (
        "Ask the backer for the right address and correct it in the order, then send the parcel again; or give the "
        "money back. Look at the print first: what suffered on the way is marked as spoiled in the room Print and "
        "printed again under its own number."
    ),
    Kind.DAMAGED: (
        "Ask for pictures of the print and of the packing before anything is thrown away; the post wants both. To "
        "replace it, send the parcel again here, mark the copy as spoiled in the room Print, and print it anew under "
        "its own number; or give the money back."
    ),
    Kind.LOST: (
        "Ask the post for an inquiry and keep the receipt. To replace it, send the parcel again here, mark the copy as "
        "spoiled in the room Print, and print it anew under its own number: the lost sheet no longer counts. Or give "
        "the money back."
    ),
}


@dataclass(frozen=True, slots=True)
class ParcelPage:
    """
    A parcel, its copies, the orders in it, its history from the first act on, and what can follow.

    `notice` is the state of the mail that says it is posted, empty while none is written.
    """

    parcel: Parcel
    copies: tuple[Copy, ...]
    orders: tuple[Pledge, ...]
    events: tuple[ParcelEvent, ...]
    outcome: ParcelEvent | None
    notice: str = ""

    @property
    def notice_words(self) -> str:
        """Whether its recipient knows that it is posted; empty before it is."""
        if not self.parcel.is_posted:
            return ""
        if self.notice == OutboxMessage.State.SENT:
            return "recipient told"
        return f"notice {OutboxMessage.State(self.notice).label}" if self.notice else "recipient not told yet"

    @property
    def can_be_sent_again(self) -> bool:
        """It came back, was damaged or is lost."""
        return self.parcel.is_posted and self.outcome is not None and self.outcome.kind in BACK

    @property
    def next_words(self) -> str:
        """What can be done next; empty before it is posted."""
        return NEXT[self.outcome.kind if self.outcome else ""] if self.parcel.is_posted else ""


def newest_outcome(parcel: Parcel) -> ParcelEvent | None:
    """The latest word on what became of the present posting; None while nothing is known."""
    return parcel.events.filter(posting=parcel.posting, kind__in=OUTCOMES).last()


def find_parcel_page(*, show_pk: int, code: str) -> ParcelPage | None:
    """The page of the parcel `code` of a show; None if there is none. Five queries."""
    parcel = Parcel.objects.filter(show=show_pk, code=code).first()
    if parcel is None:
        return None
    copies = Copy.objects.filter(parcel_copy__parcel=parcel).select_related("edition", "pledge").order_by("number")
    return ParcelPage(
        parcel=parcel,
        copies=tuple(copies),
        orders=tuple({copy.pledge.pk: copy.pledge for copy in copies if copy.pledge}.values()),
        events=tuple(parcel.events.all()),
        outcome=newest_outcome(parcel),
        notice=read_notices([parcel]).get(parcel.pk, ""),
    )
