"""The mails of posting; templates are mail/<name>.{subject,txt,html}."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from campaign import outbox
from campaign.access import make_pledge_token
from campaign.mail import public_link, show_context
from campaign.models import Copy, Job, OutboxMessage
from fulfilment.models import Parcel
from fulfilment.pdf import postal_lines


def parcel_posted(*, parcel: Parcel, copies: Sequence[Copy], batch: Job, now: datetime) -> OutboxMessage:
    """Says that a parcel is on its way, with what is in it, where it goes and its tracking number; once a posting."""
    return outbox.enqueue(batch=batch, **_posted_parts(parcel, copies=copies, now=now))


def show_parcel_posted(*, parcel: Parcel, copies: Sequence[Copy], now: datetime) -> OutboxMessage:
    """The same mail to look at, written nowhere; with the public page in place of the private link."""
    parts = _posted_parts(parcel, copies=copies, now=now)
    parts["context"] |= {"link": parts["context"]["show_link"]}
    return outbox.render(**parts)


def _posted_parts(parcel: Parcel, *, copies: Sequence[Copy], now: datetime) -> dict[str, Any]:
    pledges = {copy.pledge.code: copy.pledge for copy in copies if copy.pledge}
    # An order may have been cancelled after its parcel had left: then there is no own page to point to.
    newest = max(pledges.values(), key=lambda pledge: (pledge.placed_at, pledge.pk), default=None)
    about = show_context(parcel.show)
    # What goes to a friend is told to the backer who ordered it: the friend's own e-mail address is never asked for.
    is_for_friend = any(copy.line and copy.line.recipient_name for copy in copies)
    return {
        "name": "parcel_posted",
        "key": parcel.notice_key,
        "kind": OutboxMessage.Kind.TRANSACTIONAL,
        "recipient": parcel.email,
        "reply_to": about["studio"].email,
        "context": {
            **about,
            "parcel": parcel,
            "reader": newest.name if newest and is_for_friend else parcel.name,
            "is_for_friend": is_for_friend,
            "copies": copies,
            "lines": postal_lines(parcel, sender_country=parcel.show.country),
            "orders": sorted(pledges),
            "link": public_link("campaign:pledge_link", make_pledge_token(newest)) if newest else about["show_link"],
        },
        "now": now,
        "show": parcel.show,
    }
