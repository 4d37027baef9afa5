"""
A site of an older release, written by its own models: `python -m tests.faults.old_release write|tables`.

`write` migrates an empty database to that release and has one show with a paid order, an open one and a gift in it,
in the words of the models of that time. `tables` prints what every table of that release holds, without moments.
"""

import json
import os
import sys
from datetime import UTC, date, datetime, timedelta
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.db import connection  # noqa: E402 - needs django.setup()
from django.db.migrations.executor import MigrationExecutor  # noqa: E402

from campaign.references import make_reference  # noqa: E402

RELEASE = [("campaign", "0008_schedule_keeps_what_is_done"), ("fulfilment", "0002_parcel_knows_its_job")]
AT, ON = datetime(2026, 3, 10, 12, tzinfo=UTC), date(2026, 5, 14)
ADDRESS = {"country_code": "DE", "street_address": "Musterweg 12", "postal_code": "10115", "city": "Berlin"}
# Code, state, copies, gift; every copy costs 45.00 and its postage 4.90.
ORDERS = (("7K3M9P", "paid", 2, 0), ("4QW8TN", "held", 1, 500), ("9PE3ZN", "paid", 0, 2_500))


def write(models: Any) -> None:
    """The rows."""
    models("Studio").objects.create(
        artist_name="Ada Example", email="studio@example.org", iban="DE89370400440532013000"
    )
    show = models("Show").objects.create(
        code="old", state="open", title="Old", venue_name="V", country="DE", currency="EUR", hang_on=ON,
        opening_at=AT + timedelta(days=66), last_day_on=ON + timedelta(days=30), opens_at=AT - timedelta(days=9),
        closes_at=AT + timedelta(days=20), posting_by_on=ON + timedelta(days=70), cancel_until_on=ON,
    )  # fmt: skip
    edition = models("Edition").objects.create(
        show=show, code="harbour", title="Harbour", width_mm=297, height_mm=210, size=5, price_minor=4_500,
        make_cost_minor=420, pack_cost_minor=180, mass_g=180,
    )  # fmt: skip
    models("PostageRate").objects.create(
        show=show, zone="Germany", countries="DE", up_to_copies=3, charge_minor=490, cost_minor=450
    )
    models("Level").objects.create(show=show, name="A corner", promise="Two prints.", money_minor=10_000)
    free = [models("Copy")(edition=edition, number=number, state="free") for number in range(1, 6)]
    for code, state, copies, gift in ORDERS:
        pledge = _write_order(models, show=show, edition=edition if copies else None, code=code, state=state,
                              copies=copies, gift=gift)  # fmt: skip
        for copy in free[:copies]:
            copy.pledge, copy.state = pledge, {"paid": "spoken_for", "held": "held"}[state]
            copy.save()
        free = free[copies:]
    models("Copy").objects.bulk_create(free)


def _write_order(models: Any, *, show: Any, edition: Any, code: str, state: str, copies: int, gift: int) -> Any:
    prints, postage = 4_500 * copies, 490 if copies else 0
    is_paid = state == "paid"
    pledge = models("Pledge").objects.create(
        show=show, edition=edition, code=code, state=state, name=f"Backer {code}", email=f"{code.lower()}@example.org",
        address=ADDRESS if copies else {}, copies=copies, currency="EUR", prints_minor=prints, postage_minor=postage,
        gift_minor=gift, postage_cost_minor=450 if copies else 0, make_cost_minor=420 * copies,
        pack_cost_minor=180 * copies, posting_by_on=show.posting_by_on if copies else None, way="transfer",
        reference=make_reference(code), placed_at=AT, hold_until_at=AT + timedelta(days=10),
        paid_at=AT if is_paid else None,
    )  # fmt: skip
    for name in ("pledge_placed", *(["payment_received"] if is_paid else [])):
        models("OutboxMessage").objects.create(
            key=f"{name}:{code}", name=name, kind="transactional", show=show, recipient=pledge.email, subject="s",
            text="t", html="<p>t</p>", state="sent", due_at=AT, created_at=AT, sent_at=AT,
        )  # fmt: skip
    if is_paid:
        models("CashEntry").objects.create(
            show=show, pledge=pledge, key=f"payment:{code}", debit="bank", credit="orders", currency="EUR",
            amount_minor=prints + postage + gift, happened_on=AT.date(), written_at=AT, text=f"Payment for {code}",
        )  # fmt: skip
    return pledge


def tables(apps: Any) -> dict[str, list[dict[str, Any]]]:
    """What every table of that release holds."""
    found = {}
    for model in apps.get_models():
        if model._meta.app_label in ("campaign", "fulfilment"):
            rows = list(model.objects.order_by("pk").values())
            found[model._meta.label] = [
                {name: value for name, value in row.items() if not isinstance(value, datetime)} for row in rows
            ]
    return found


def main(what: str) -> None:
    """Write, or tell."""
    executor = MigrationExecutor(connection)
    apps = executor.loader.project_state(RELEASE).apps
    if what == "write":
        executor.migrate(RELEASE)
        write(lambda name: apps.get_model("campaign", name))
    else:
        sys.stdout.write(json.dumps(tables(apps), default=str, sort_keys=True))


if __name__ == "__main__":
    main(*sys.argv[1:])
