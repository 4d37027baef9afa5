"""
Every page of the studio with its methods, and one thing of each kind to open it on.

A test walks the URLs and finds any that is missing here; who may open a page is asked of the whole table.
"""

import uuid
from collections.abc import Iterator
from typing import Any

from django.urls import URLPattern, URLResolver, get_resolver, reverse

from campaign.models import (
    BankLine,
    BankStatement,
    BankUpload,
    ChangeRequest,
    Deadline,
    Funder,
    Job,
    OutboxMessage,
    Paper,
    Refund,
    Show,
    Update,
    Waiter,
)
from campaign.queries.basket import LineWish
from campaign.services.payments import record_other_money
from campaign.services.pledges import Order, place_pledge
from fulfilment.models import Mailer, Nest, PaperStock, Parcel
from tests.builders import BERLIN_ADDRESS, NOW
from tests.fulfilment.packed import FLAT

GET, FORM, ACT = ("GET",), ("GET", "POST"), ("POST",)
# Pages before any show: no code in the address.
DOORS = {
    "campaign:studio": GET,
    "campaign:studio_details": FORM,
    "campaign:new_show": FORM,
    "campaign:second_factor": FORM,
}
# Within a show: the methods, and of which things the address holds the code.
PAGES = {
    "campaign:standing": (GET, ()),
    "campaign:staircase": (GET, ()),
    "campaign:missing": (GET, ()),
    "campaign:missing_work": (GET, ("work",)),
    "campaign:what_if": (GET, ()),
    "campaign:compare": (GET, ()),
    "campaign:measure": (GET, ()),
    "campaign:take_back": (ACT, ()),
    "campaign:settings": (FORM, ()),
    "campaign:walls": (GET, ()),
    "campaign:new_wall": (FORM, ()),
    "campaign:draw_wall": (ACT, ()),
    "campaign:wall": (FORM, ("wall",)),
    "campaign:delete_wall": (FORM, ("wall",)),
    "campaign:works": (FORM, ()),
    "campaign:paste_works": (FORM, ()),
    "campaign:worths": (FORM, ("work",)),
    "campaign:tie": (ACT, ("work",)),
    "campaign:untie": (ACT, ("work",)),
    "campaign:new_work": (FORM, ()),
    "campaign:work": (FORM, ("work",)),
    "campaign:delete_work": (FORM, ("work",)),
    "campaign:finishes": (GET, ()),
    "campaign:new_finish": (FORM, ()),
    "campaign:finish": (FORM, ("finish",)),
    "campaign:delete_finish": (FORM, ("finish",)),
    "campaign:paste_prices": (FORM, ()),
    "campaign:prices": (FORM, ()),
    "campaign:shelf": (FORM, ()),
    "campaign:new_price": (FORM, ()),
    "campaign:price": (FORM, ("price",)),
    "campaign:delete_price": (FORM, ("price",)),
    "campaign:show_costs": (FORM, ()),
    "campaign:gifts": (FORM, ()),
    "campaign:wall_prices": (GET, ()),
    "campaign:wanted_sums": (FORM, ()),
    "campaign:fund": (GET, ()),
    "campaign:prints": (GET, ()),
    "campaign:waiting": (GET, ()),
    "campaign:take_off_list": (FORM, ("waiter",)),
    "campaign:new_edition": (FORM, ()),
    "campaign:print_price": (GET, ("edition",)),
    "campaign:edition": (FORM, ("edition",)),
    "campaign:delete_edition": (FORM, ("edition",)),
    "campaign:postage": (FORM, ()),
    "campaign:taxes": (FORM, ()),
    "campaign:fee": (FORM, ()),
    "campaign:levels": (FORM, ()),
    "campaign:mend_level": (ACT, ()),
    "campaign:publish": (ACT, ()),
    "campaign:close": (FORM, ()),
    "campaign:pledges": (GET, ()),
    "campaign:pledge": (GET, ("pledge",)),
    "campaign:payment": (FORM, ("pledge",)),
    "campaign:refund": (FORM, ("pledge",)),
    "campaign:cancel": (FORM, ("pledge",)),
    "campaign:write_news_again": (ACT, ("pledge",)),
    "fulfilment:correct_email": (FORM, ("pledge",)),
    "campaign:withdraw_link": (FORM, ("pledge",)),
    "campaign:change_requests": (GET, ()),
    "campaign:change_request": (FORM, ("request",)),
    "campaign:watching": (FORM, ()),
    "campaign:funders": (GET, ()),
    "campaign:new_funder": (FORM, ()),
    "campaign:funder": (FORM, ("funder",)),
    "campaign:funder_money": (FORM, ("funder",)),
    "campaign:delete_funder": (FORM, ("funder",)),
    "campaign:prospectus": (GET, ("funder",)),
    "campaign:bank": (FORM, ()),
    "campaign:bank_book": (ACT, ()),
    "campaign:bank_columns": (FORM, ("bank_upload",)),
    "campaign:bank_forget": (ACT, ("bank_upload",)),
    "campaign:bank_statement": (FORM, ("bank_statement",)),
    "campaign:bank_line": (GET, ("bank_line",)),
    "campaign:bank_to_order": (ACT, ("bank_line",)),
    "campaign:bank_refund": (ACT, ("bank_line",)),
    "campaign:bank_back": (ACT, ("bank_line",)),
    "campaign:bank_other": (ACT, ("bank_line",)),
    "campaign:bank_tie": (ACT, ("bank_line",)),
    "campaign:bank_pass": (ACT, ("bank_line",)),
    "campaign:cards": (GET, ()),
    "campaign:compare_cards": (ACT, ()),
    "campaign:cash_book": (GET, ()),
    "campaign:other_money": (FORM, ()),
    "campaign:correct": (FORM, ("entry",)),
    "campaign:updates": (GET, ()),
    "campaign:new_update": (FORM, ()),
    "campaign:update_sheet": (FORM, ("update",)),
    "campaign:trial": (ACT, ("update",)),
    "campaign:send_update": (FORM, ("update",)),
    "campaign:send_update_at": (FORM, ("update",)),
    "campaign:not_by_itself": (ACT, ("update",)),
    "campaign:mails": (GET, ()),
    "campaign:settle_message": (ACT, ("message",)),
    "campaign:job": (GET, ("job",)),
    "campaign:call_off": (ACT, ("job",)),
    "campaign:pause": (ACT, ("job",)),
    "campaign:paper": (GET, ("paper",)),
    "campaign:schedule": (GET, ()),
    "campaign:schedule_steps": (FORM, ()),
    "campaign:closed_days": (FORM, ()),
    "campaign:renew_calendar_link": (FORM, ()),
    "campaign:new_deadline": (FORM, ()),
    "campaign:deadline": (FORM, ("deadline",)),
    "campaign:meet_deadline": (ACT, ("deadline",)),
    "campaign:delete_deadline": (FORM, ("deadline",)),
    "campaign:law": (GET, ()),
    "campaign:late_posting": (FORM, ()),
    "campaign:minimum": (FORM, ()),
    "campaign:call_off_show": (FORM, ()),
    "campaign:refunds": (FORM, ()),
    "campaign:payment_list": (GET, ()),
    "campaign:refund_sum": (FORM, ("refund",)),
    "campaign:refund_account": (FORM, ("refund",)),
    "campaign:not_given": (FORM, ("refund",)),
    "campaign:retry_refund": (ACT, ("refund",)),
    "campaign:owe": (FORM, ("pledge",)),
    "campaign:cash_book_csv": (GET, ()),
    "campaign:cash_book_xlsx": (GET, ()),
    "campaign:pledges_csv": (GET, ()),
    "campaign:pledges_xlsx": (GET, ()),
    "campaign:to_send_csv": (GET, ()),
    "campaign:to_send_xlsx": (GET, ()),
    "campaign:compare_book": (FORM, ()),
    "fulfilment:print": (GET, ()),
    "fulfilment:end_printing": (FORM, ()),
    "fulfilment:print_list": (GET, ()),
    "fulfilment:mark_wall_prints": (ACT, ()),
    "fulfilment:cutting": (GET, ()),
    "fulfilment:lay_prints": (ACT, ()),
    "fulfilment:mark_sheet": (ACT, ()),
    "fulfilment:cut_drawings_pdf": (GET, ()),
    "fulfilment:paper_stock": (FORM, ()),
    "fulfilment:new_roll": (FORM, ()),
    "fulfilment:new_sheets": (FORM, ()),
    "fulfilment:paper": (FORM, ("stock",)),
    "fulfilment:delete_paper": (FORM, ("stock",)),
    "fulfilment:shopping": (GET, ()),
    "fulfilment:print_days": (GET, ()),
    "fulfilment:mark_copies": (ACT, ("edition",)),
    "fulfilment:mark_proofs": (ACT, ("edition",)),
    "fulfilment:register": (GET, ("edition",)),
    "fulfilment:register_pdf": (GET, ("edition",)),
    "fulfilment:certificate_text": (FORM, ("edition",)),
    "fulfilment:certificates": (ACT, ("edition",)),
    "fulfilment:certificates_pdf": (GET, ("edition",)),
    "fulfilment:certificate_papers": (ACT, ("edition",)),
    "fulfilment:send": (FORM, ()),
    "fulfilment:packing_station": (FORM, ()),
    "fulfilment:packing_contents": (GET, ()),
    "fulfilment:pack_parcel": (ACT, ()),
    "fulfilment:open_parcel": (ACT, ()),
    "fulfilment:send_notices": (FORM, ()),
    "fulfilment:addresses": (FORM, ()),
    "fulfilment:call_off_addresses": (ACT, ()),
    "fulfilment:tracking": (FORM, ()),
    "fulfilment:parcels_csv": (GET, ()),
    "fulfilment:parcels_xlsx": (GET, ()),
    "fulfilment:call_off_notices": (ACT, ("job",)),
    "fulfilment:parcel": (FORM, ("parcel",)),
    "fulfilment:send_parcel_again": (ACT, ("parcel",)),
    "fulfilment:take_out": (ACT, ()),
    "fulfilment:parcel_packing": (FORM, ("parcel",)),
    "fulfilment:pack_anyway": (ACT, ()),
    "fulfilment:packing_material": (GET, ()),
    "fulfilment:reckon_parcels": (ACT, ()),
    "fulfilment:new_mailer": (FORM, ()),
    "fulfilment:mailer": (FORM, ("mailer",)),
    "fulfilment:delete_mailer": (FORM, ("mailer",)),
    "fulfilment:travel": (FORM, ("edition",)),
    "fulfilment:post_services": (FORM, ()),
    "fulfilment:customs": (FORM, ()),
    "fulfilment:papers_again": (ACT, ("job",)),
    "fulfilment:papers": (GET, ()),
    "fulfilment:papers_pdf": (GET, ()),
    "fulfilment:label_sheet": (FORM, ()),
    "fulfilment:slip_line": (FORM, ()),
    "fulfilment:correct_address": (FORM, ("pledge", "backer")),
    "fulfilment:hang": (GET, ()),
    "fulfilment:hanging_sheet": (GET, ()),
    "fulfilment:settle": (GET, ()),
}


def make_things(show: Show) -> dict[str, Any]:
    """The code in the address of one thing of each kind."""
    order = Order(
        name="Iris", email="iris@example.org", way="transfer", lines=(LineWish("harbour", 1),), address=BERLIN_ADDRESS
    )
    job = Job.objects.create(show=show, kind="papers", key="k", title="Papers", starts_at=NOW, created_at=NOW)
    pledge = place_pledge(show=show, request_key=uuid.uuid4(), order=order, now=NOW)
    refund = Refund.objects.create(pledge=pledge, amount_minor=100, way="transfer", reason="r", created_at=NOW)
    statement = BankStatement.objects.create(show=show, format="csv", file_name="b.csv", sha256="0" * 64, read_at=NOW)
    line = BankLine.objects.create(
        statement=statement, line_hash="0" * 64, booked_on=NOW.date(), amount_minor=100, currency="EUR"
    )
    upload = BankUpload.objects.create(
        show=show, file_name="b.csv", content=b"Date;Name;Amount\n2026-03-10;a;1\n", sent_at=NOW
    )
    Nest.objects.create(show=show, made_at=NOW, layout={"papers": [], "prints": {}})
    stock = PaperStock.objects.create(
        show=show, code="rag", name="Rag", kind="roll", width_mm=610, pack_mm=10_000, counted_at=NOW
    )
    return {
        "stock": stock.code,
        "bank_statement": statement.code,
        "bank_line": line.code,
        "bank_upload": upload.code,
        "wall": "north",
        "work": "w01",
        "finish": "frame",
        "price": "paper",
        "edition": "harbour",
        "pledge": pledge.code,
        "backer": 0,
        "request": ChangeRequest.objects.create(pledge=pledge, text="Please cancel.", asked_at=NOW).request_key,
        "refund": refund.key,
        "waiter": Waiter.objects.create(
            edition=show.editions.get(code="harbour"), name="W", email="w@example.org", asked_at=NOW
        ).code,
        "entry": record_other_money(
            show=show, key="x", kind="own", amount_minor=100, happened_on=NOW.date(), text="Own", now=NOW
        ).key,
        "update": Update.objects.create(show=show, title="T", body="B", written_at=NOW).code,
        "funder": Funder.objects.create(show=show, kind="sponsor", name="Bakery Kornblum").code,
        "message": OutboxMessage.objects.create(
            key="m", name="n", kind="campaign", show=show, recipient="a@example.org", subject="s", text="t", html="h",
            due_at=NOW, created_at=NOW,
        ).uid,
        "job": job.code,
        "deadline": Deadline.objects.create(show=show, kind="grant", name="City culture fund", on=NOW.date()).uid,
        "parcel": Parcel.objects.create(show=show, number=1, name="Iris", email="iris@example.org", mass_g=100).code,
        "mailer": Mailer.objects.create(show=show, **FLAT).code,
        "paper": Paper.objects.create(
            job=job, name="slips.pdf", title="Slips", pages=1, pdf=b"%PDF-1.7", made_at=NOW
        ).code,
    }  # fmt: skip


def addresses(show: Show, things: dict[str, Any]) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Every page's name, address in `show` and methods."""
    for name, (methods, parts) in PAGES.items():
        yield name, reverse(name, args=[show.code, *(things[part] for part in parts)]), methods


def url_names() -> set[str]:
    """The name of every URL of the site, with its namespace."""
    return set(_names(get_resolver(), ""))


def _names(resolver: URLResolver, space: str) -> Iterator[str]:
    for pattern in resolver.url_patterns:
        if isinstance(pattern, URLResolver):
            inner = f"{pattern.namespace}:" if pattern.namespace else ""
            yield from _names(pattern, space + inner)
        elif isinstance(pattern, URLPattern):
            yield f"{space}{pattern.name}"
