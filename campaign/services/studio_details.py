"""Who the studio is: the name on mails, the sender on parcels, and where money goes."""

from collections.abc import Mapping

from django.db import transaction

from campaign.errors import NotReady
from campaign.models import Show, Studio
from campaign.queries.details import STUDIO_FIELDS

WAYS = ("iban", "cheque_payee", "cash_note", "takes_cards")


@transaction.atomic(durable=True)
def save_studio(*, values: Mapping[str, str | bool]) -> Studio:
    """
    Fill in or change the studio's one row; `values` has every one of STUDIO_FIELDS.

    Writes: Studio.
    Raises: NotReady for an account without a holder, and while orders are taken and no way of paying would be left.
    Repeat: the same words again change nothing.
    """
    assert set(values) == set(STUDIO_FIELDS), f"not the details of a studio: {set(values) ^ set(STUDIO_FIELDS)}"
    if values["iban"] and not values["account_holder"]:
        raise NotReady("An account needs its holder's name: banks compare the two. Nothing was changed.")
    if not any(values[name] for name in WAYS) and Show.objects.filter(state=Show.State.OPEN).exists():
        raise NotReady(
            "A page is taking orders, so one way of paying must stay: an account, cheques, cash or cards. "
            "Nothing was changed."
        )
    studio, _ = Studio.objects.update_or_create(pk=1, defaults=dict(values))
    return studio
