"""
The life of a campaign, every act of which may be done again: `python -m tests.faults.life`.

Reads one line of JSON for each life to live, and lives it in a process of its own, which is this one forked before it
has touched any database: {"database": its name, "folder": where to write, "hours": later than usual, "point": a name
of `tests.faults.crash_points` or ""}. At the point that process dies. The next life in the same database begins at
the beginning, as people do who got no answer, and goes on with what the sweep finds; with some hours more on the clock
leases are over. Answers each line with the status of the process; a whole life leaves FOLDER/tables.json, what is in
the tables at its end without moments and chance. `python -m tests.faults.life seed` only puts a show into a database.
"""

import itertools
import json
import os
import sys
import traceback
import uuid
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.apps import apps  # noqa: E402 - needs django.setup()
from django.db import connection, models  # noqa: E402
from django.urls import reverse  # noqa: E402

from campaign import outbox  # noqa: E402
from campaign.backup import read_manifest, write_backup  # noqa: E402
from campaign.errors import NotReady  # noqa: E402
from campaign.mail import news_key  # noqa: E402
from campaign.models import BankLine, Job, Pledge, Refund, Show, Update, Waiter  # noqa: E402
from campaign.queries.basket import LineWish  # noqa: E402
from campaign.services.bank_lines import book_line_to_order  # noqa: E402
from campaign.services.bank_statements import take_file  # noqa: E402
from campaign.services.batches import follow_batches  # noqa: E402
from campaign.services.campaigns import close_campaign  # noqa: E402
from campaign.services.payments import record_payment  # noqa: E402
from campaign.services.plans import refresh_staircase  # noqa: E402
from campaign.services.pledges import Order, cancel_pledge, lapse_due_holds, place_pledge  # noqa: E402
from campaign.services.refunds import settle_refund  # noqa: E402
from campaign.services.updates import send_update, write_update  # noqa: E402
from campaign.services.waiting import join_list, lapse_offers  # noqa: E402
from fulfilment.services.checks import ALL_CHECKS  # noqa: E402
from fulfilment.services.paper_jobs import list_due_jobs  # noqa: E402
from fulfilment.services.papers import make_papers  # noqa: E402
from fulfilment.services.production import end_printing, tick_printed  # noqa: E402
from tests.builders import BERLIN_ADDRESS, NOW, add_small_edition, make_draft  # noqa: E402
from tests.campaign.statements.camt_files import camt, details, entry  # noqa: E402
from tests.faults.crash_points import POINTS, Watch  # noqa: E402
from tests.seed import migrate  # noqa: E402

# Who orders which print, and how many copies: two who pay, one by the bank, one who cancels, one who never pays; and
# one who has the only copy of the small print and gives it back while somebody waits for it.
PEOPLE = {
    "ann": ("harbour", 1), "ben": ("harbour", 2), "bank": ("harbour", 2), "cora": ("harbour", 1), "dan": ("harbour", 3),
    "eve": ("pocket", 1),
}  # fmt: skip
Dump = dict[str, list[dict[str, Any]]]


class Life:
    """One run of it; `now` moves from stage to stage."""

    def __init__(self, *, hours: int, folder: Path, watch: Watch | None) -> None:
        self.folder, self.watch = folder, watch
        self.shift = timedelta(hours=hours)
        self.show = Show.objects.get()

    def stage(self, name: str, *, days: float) -> datetime:
        """The stage's own moment."""
        if self.watch:
            self.watch.enter(name)
        return NOW + timedelta(days=days) + self.shift

    def run(self) -> None:
        """Everything, in order."""
        orders = self.order(self.stage("orders", days=0))
        self.pay(orders, now=self.stage("payments", days=0.01))
        self.read_the_bank(orders["bank"], now=self.stage("bank", days=0.02))
        self.cancel(orders["cora"], now=self.stage("cancelling", days=0.03))
        self.give_back(orders["eve"], now=self.stage("coming back", days=0.04))
        self.lapse(self.stage("lapsing", days=12))
        self.deliver(self.stage("mails", days=13))
        self.tell(self.stage("news", days=14))
        batch_at = self.stage("batch", days=14.01)
        self.deliver(batch_at)
        follow_batches(now=batch_at)
        self.back_up(self.stage("backup", days=15))
        close_campaign(show=self.show, now=self.stage("closing", days=40))
        self.print_and_pack(self.stage("papers", days=50))

    def order(self, now: datetime) -> dict[str, Pledge]:
        """Each submit has its own key, the same whenever it is sent."""
        found = {}
        for name, (edition, copies) in PEOPLE.items():
            order = Order(
                name=name.title(), email=f"{name}@example.org", way="transfer", address=dict(BERLIN_ADDRESS),
                lines=(LineWish(edition, copies),), wants_updates=True,
            )  # fmt: skip
            key = uuid.uuid5(uuid.NAMESPACE_URL, name)
            found[name] = place_pledge(show=self.show, request_key=key, order=order, now=now)
        return found

    def pay(self, orders: dict[str, Pledge], *, now: datetime) -> None:
        """Entered by hand, each from a form with its own key."""
        for name in ("ann", "ben", "cora"):
            record_payment(
                pledge=orders[name], key=f"hand-{name}", amount_minor=orders[name].total_minor, fee_minor=0, way="cash",
                happened_on=NOW.date(), now=now,
            )  # fmt: skip

    def read_the_bank(self, pledge: Pledge, *, now: datetime) -> None:
        """The same statement, the same line to the same order, 5.00 too much kept as a gift."""
        amount = pledge.total_minor + 500 - pledge.gift_minor
        line = entry(f"{amount // 100}.{amount % 100:02}", inner=details(reference=pledge.reference))
        take_file(show=self.show, file_name="march.xml", data=camt(line), now=now)
        book_line_to_order(line=BankLine.objects.get(), pledge=pledge, surplus="keep", now=now)

    def cancel(self, pledge: Pledge, *, now: datetime) -> None:
        """A paid order is cancelled, its money given back."""
        cancel_pledge(pledge=pledge, by_backer=True, now=now)
        for refund in Refund.objects.filter(pledge=pledge):
            settle_refund(refund=refund, happened_on=NOW.date(), now=now)

    def give_back(self, pledge: Pledge, *, now: datetime) -> None:
        """Somebody waits for the small print, of which no copy is left, and then one comes back."""
        small = self.show.editions.get(code="pocket")
        if not Waiter.objects.filter(edition=small).exists():  # each time she asked she would be told of her place
            join_list(edition=small, name="Wendy", email="wendy@example.org", copies=1, now=now)
        cancel_pledge(pledge=pledge, by_backer=True, now=now)

    def lapse(self, now: datetime) -> None:
        """Whose time is over: who has not paid, and who has not taken an offer."""
        lapse_due_holds(now=now)
        lapse_offers(now=now)

    def deliver(self, now: datetime) -> None:
        """As long as something goes out; of news that may or may not have, the artist says to send it again."""
        while outbox.deliver_due(now=now):
            pass
        unknown = list(outbox.OutboxMessage.objects.filter(state="unknown"))
        if [outbox.settle_unknown(message=message, resend=True, now=now) for message in unknown]:
            self.deliver(now)

    def tell(self, now: datetime) -> None:
        """An update to all who want news."""
        known = Update.objects.filter(show=self.show).first()
        update = known or write_update(show=self.show, update=None, title="Half way", body="Thank you.", now=now)
        send_update(update=update, now=now)

    def back_up(self, now: datetime) -> None:
        """A folder without a manifest was cut short: the next attempt takes another one."""
        for number in itertools.count(1):
            folder = self.folder / f"backup-{number}"
            try:
                read_manifest(folder)
            except NotReady:
                if folder.exists():
                    continue
                write_backup(folder, now=now)
            return

    def print_and_pack(self, now: datetime) -> None:
        """Every copy printed, parcels numbered, papers made."""
        self.show.refresh_from_db()
        edition = self.show.editions.get(code="harbour")
        spoken_for = edition.copies.filter(state="spoken_for").values_list("number", flat=True)
        tick_printed(edition=edition, numbers=list(spoken_for), now=now)
        end_printing(show=self.show, now=now)
        for job_pk in list_due_jobs(now=now):
            make_papers(job_pk=job_pk, clock=lambda: now)


# Chance, and what a second attempt may change without anybody losing by it.
LEFT_OUT = {"attempts", "text", "html", "headers", "milliseconds", "line_hash", "file_hash", "sha256", "size_bytes"}


def dump() -> Dump:
    """Every table: rows by their place in it instead of their key, without moments, random codes made speaking."""
    own = [model for app in ("campaign", "fulfilment") for model in apps.get_app_config(app).get_models()]
    places = {
        model: {pk: place for place, pk in enumerate(model.objects.order_by("pk").values_list("pk", flat=True))}
        for model in own
    }
    names = dict(sorted(_speaking_names(), key=lambda pair: -len(pair[0])))  # a reference holds its order's code
    return {
        model._meta.label: [_row(row, places=places, names=names) for row in model.objects.order_by("pk")]
        for model in own
    }


def _speaking_names() -> Any:
    for number, pledge in enumerate(Pledge.objects.order_by("pk"), start=1):
        yield pledge.code, f"order-{number}"
        yield pledge.reference, f"reference-{number}"
    for model in (Job, Update, Waiter):
        for number, row in enumerate(model.objects.order_by("pk"), start=1):
            yield row.code, f"{model.__name__}-{number}"
    for update, pledge in itertools.product(Update.objects.all(), Pledge.objects.all()):
        yield news_key(update, email=pledge.email), f"news-to-{pledge.email}"
    for waiter in Waiter.objects.all():  # told at most once an hour, so its mail has the hour of asking in its key
        yield f"{waiter.code}:{waiter.asked_at:%Y%m%d%H}", "waiter-asked-then"
    for number, line in enumerate(BankLine.objects.order_by("pk"), start=1):
        yield line.line_hash[:40], f"line-{number}"


def _row(row: models.Model, *, places: Any, names: dict[str, str]) -> dict[str, Any]:
    found = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if field.primary_key or field.name in LEFT_OUT or _is_chance(field):
            continue
        if isinstance(field, models.ForeignKey):
            value = None if value is None else places[field.related_model][value]
        elif isinstance(value, str):
            for random, speaking in names.items():
                value = value.replace(random, speaking)
        found[field.name] = value
    return found


def _is_chance(field: models.Field) -> bool:
    is_code = field.name == "code" and field.has_default()
    return is_code or isinstance(field, models.DateTimeField | models.UUIDField | models.BinaryField)


def live(*, database: str, folder: str, hours: int, point: str) -> None:
    """One life, and what it leaves."""
    connection.settings_dict["NAME"] = database
    Life(hours=hours, folder=Path(folder), watch=Watch(POINTS[point]) if point else None).run()
    found = {
        "tables": dump(),
        "differences": [result.line for result in (check() for check in ALL_CHECKS) if result.difference],
        "message_ids": [str(uid) for uid in outbox.OutboxMessage.objects.values_list("uid", flat=True)],
        "unsent": outbox.OutboxMessage.objects.exclude(state="sent").count(),
    }
    (Path(folder) / "tables.json").write_text(json.dumps(found, default=str, sort_keys=True))


def main() -> None:
    """A child for each line; the pages, which mails name, are read once for all of them."""
    reverse("campaign:front")
    for line in sys.stdin:
        pid = os.fork()
        if pid == 0:
            try:
                live(**json.loads(line))
            except BaseException:
                traceback.print_exc()
                os._exit(1)
            os._exit(0)
        _, status = os.waitpid(pid, 0)
        sys.stdout.write(f"{os.waitstatus_to_exitcode(status)}\n")
        sys.stdout.flush()


if __name__ == "__main__":
    if sys.argv[1:] == ["seed"]:
        migrate()
        show = make_draft(state="open")
        add_small_edition(show, copies=1)
        refresh_staircase(show=show, now=NOW)
    else:
        main()
