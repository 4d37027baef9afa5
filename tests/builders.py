"""What tests start from: one small published show, and orders placed through the real services."""

import uuid
from datetime import UTC, date, datetime
from typing import Any

import factory

from campaign.models import (
    BlockedArea,
    Copy,
    Edition,
    Finish,
    Level,
    Pledge,
    PostageRate,
    PriceItem,
    RecipeLine,
    Show,
    ShowCost,
    Size,
    Studio,
    Waiter,
    Wall,
    Work,
)
from campaign.queries.basket import LineWish
from campaign.services.payments import Receipt, record_payment
from campaign.services.plans import refresh_staircase
from campaign.services.pledges import Order, place_pledge
from campaign.services.waiting import join_list

NOW = datetime(2026, 3, 10, 12, 0, tzinfo=UTC)
BERLIN_ADDRESS = {
    "country_code": "DE",
    "street_address": "Musterweg 12",
    "postal_code": "10115",
    "city": "Berlin",
}
LONDON_ADDRESS = {
    "country_code": "GB",
    "street_address": "1 Sample Lane",
    "postal_code": "SW1A 2AA",
    "city": "London",
}


class OrderFactory(factory.Factory):
    """One print for one new person in Germany, by bank transfer."""

    class Meta:
        model = Order

    name = factory.Sequence(lambda n: f"Backer Number{n}")
    email = factory.Sequence(lambda n: f"backer{n}@example.org")
    way = "transfer"
    lines = (LineWish("harbour", 1),)
    gift_minor = 0
    address = factory.LazyFunction(lambda: dict(BERLIN_ADDRESS))
    wants_updates = True


def make_studio() -> Studio:
    """The one studio, taking transfers, cheques and cash."""
    studio, _ = Studio.objects.get_or_create(
        pk=1,
        defaults={
            "artist_name": "Ada Example",
            "email": "studio@example.org",
            "contact_name": "Ada Example",
            "address": "Ada Example\nBeispielgasse 3\n10115 Berlin\nGermany",
            "iban": "DE89370400440532013000",
            "bic": "COBADEFFXXX",
            "account_holder": "Ada Example",
            "cheque_payee": "Ada Example",
            "cash_note": "At the studio, Saturdays from 10 to 12.",
        },
    )
    return studio


def make_draft(*, code: str = "tideline", copies: int = 20, **changes: Any) -> Show:
    """An unpublished show: two walls, six works, two finishes, an edition of `copies`, three levels."""
    make_studio()
    fields: dict[str, Any] = {
        "title": "Tideline",
        "statement": "Prints of a harbour that is *no longer there*.",
        "venue_name": "The Net Loft",
        "venue_address": "Example Quay 4\n10115 Berlin",
        "country": "DE",
        "time_zone": "Europe/Berlin",
        "currency": "EUR",
        "hang_on": date(2026, 5, 14),
        "opening_at": datetime(2026, 5, 15, 16, 0, tzinfo=UTC),
        "last_day_on": date(2026, 6, 14),
        "opens_at": datetime(2026, 3, 1, 8, 0, tzinfo=UTC),
        "closes_at": datetime(2026, 4, 1, 21, 59, tzinfo=UTC),
        "cancel_until_on": date(2026, 4, 8),
        "posting_by_on": date(2026, 7, 31),
        "commission_bp": 3000,
        "printer_seconds": 200_000,
        "printer_seconds_per_m2": 3600,
        "min_gap_mm": 120,
    } | changes
    show = Show.objects.create(code=code, **fields)
    _add_walls(show)
    finishes = _add_finishes(show)
    _add_works(show, finishes=finishes)
    _add_edition(show, copies=copies)
    Level.objects.bulk_create(
        Level(show=show, name=name, money_minor=money_minor, promise=promise)
        for name, money_minor, promise in (
            ("A corner", 10_000, "Two prints on board."),
            ("A wall", 25_000, "Four works, two of them framed."),
            ("The room", 60_000, "All six, framed."),
        )
    )
    return show


def make_show(*, copies: int = 20, **changes: Any) -> Show:
    """The same show, published, with its staircase computed."""
    show = make_draft(copies=copies, state=Show.State.OPEN, **changes)
    refresh_staircase(show=show, now=NOW)
    return show


def _add_walls(show: Show) -> None:
    north = Wall.objects.create(
        show=show, code="north", name="North wall", position=1, width_mm=5200, height_mm=2700, centre_mm=1450,
        end_margin_mm=150, material="plasterboard on studs", load_note="5 kg a hook",
    )  # fmt: skip
    BlockedArea.objects.create(wall=north, kind="door", x_mm=2100, y_mm=0, width_mm=900, height_mm=2050)
    Wall.objects.create(
        show=show, code="east", name="East wall", position=2, width_mm=3400, height_mm=2700, centre_mm=1450
    )


def _add_finishes(show: Show) -> list[Finish]:
    def item(code: str, name: str, unit: str, price_minor: int, mass: int = 0) -> PriceItem:
        return PriceItem(show=show, code=code, name=name, unit=unit, price_minor=price_minor, mass_g_per_unit=mass)

    paper, ink, board, moulding, acrylic, fittings = PriceItem.objects.bulk_create(
        [
            item("paper", "Cotton paper 310 g", "m2", 2_400, 310),
            item("ink", "Ink", "m2", 900),
            item("board", "Foam board 5 mm", "m2", 1_100, 600),
            item("moulding", "Oak moulding 20 mm", "m", 780, 300),
            item("acrylic", "Acrylic 2 mm", "m2", 3_900, 2_380),
            item("fittings", "Hooks and wire", "piece", 240, 50),
        ]
    )
    bare = Finish.objects.create(show=show, code="board", name="Pinned on board", position=1, worth=40, border_mm=20)
    framed = Finish.objects.create(
        show=show, code="frame", name="Framed behind acrylic", position=2, worth=90, mat_mm=50, moulding_mm=20
    )
    lines = [
        (bare, paper, "print_area", 1000), (bare, ink, "print_area", 500), (bare, board, "outer_area", 1000),
        (framed, paper, "print_area", 1500), (framed, ink, "print_area", 0), (framed, board, "outer_area", 1000),
        (framed, moulding, "outer_perimeter", 1000), (framed, acrylic, "outer_area", 500),
        (framed, fittings, "piece", 0),
    ]  # fmt: skip
    RecipeLine.objects.bulk_create(
        RecipeLine(finish=finish, item=price, basis=basis, waste_bp=waste_bp, position=position)
        for position, (finish, price, basis, waste_bp) in enumerate(lines)
    )
    ShowCost.objects.create(show=show, name="Invitation cards", amount_minor=3_500)
    return [bare, framed]


def _add_works(show: Show, *, finishes: list[Finish]) -> None:
    titles = ("Low water", "Harbour light", "Net loft", "Last ferry", "Salt store", "Mud and sky")
    works = Work.objects.bulk_create(
        Work(
            show=show, code=f"w{number:02}", title=title, year="2025", medium="pigment print", position=number,
            need=1 + number % 5, alt_text=f"{title}, a print in grey and ochre",
        )
        for number, title in enumerate(titles, start=1)
    )  # fmt: skip
    sizes = (("400x300", 400, 300, 100), ("600x450", 600, 450, 130))
    Size.objects.bulk_create(
        Size(work=work, code=code, width_mm=width_mm, height_mm=height_mm, factor_percent=factor)
        for work in works
        for code, width_mm, height_mm, factor in sizes
    )
    works[-1].finishes.set(finishes[:1])


def _add_edition(show: Show, *, copies: int) -> Edition:
    edition = Edition.objects.create(
        show=show, code="harbour", title="Harbour light", work=show.works.get(code="w02"), paper="Cotton paper 310 g",
        width_mm=297, height_mm=210, size=copies, price_minor=4_500, limit_per_person=3, make_cost_minor=420,
        pack_cost_minor=180, mass_g=180, parcel_width_mm=330, parcel_height_mm=250, parcel_depth_mm=20,
    )  # fmt: skip
    Copy.objects.bulk_create(Copy(edition=edition, number=number) for number in range(1, copies + 1))
    rates = (
        ("Germany", "DE", 3, 490, 450),
        ("Europe", "AT FR GB IE NL", 1, 890, 820),
        ("Europe", "AT FR GB IE NL", 3, 1_190, 1_100),
        ("World", "*", 3, 1_690, 1_590),
    )
    PostageRate.objects.bulk_create(
        PostageRate(show=show, zone=zone, countries=to, up_to_copies=up_to, charge_minor=charge, cost_minor=cost)
        for zone, to, up_to, charge, cost in rates
    )
    return edition


def add_small_edition(show: Show, *, copies: int = 3, **changes: Any) -> Edition:
    """A second, small edition beside the first."""
    fields: dict[str, Any] = {
        "code": "pocket", "title": "Pocket", "width_mm": 150, "height_mm": 100, "size": copies, "price_minor": 1_400,
        "limit_per_person": 3, "make_cost_minor": 90, "pack_cost_minor": 80, "mass_g": 40, "position": 1,
    }  # fmt: skip
    edition = Edition.objects.create(show=show, **(fields | changes))
    Copy.objects.bulk_create(Copy(edition=edition, number=number) for number in range(1, copies + 1))
    return edition


def place(show: Show, *, now: datetime = NOW, request_key: uuid.UUID | None = None, **changes: Any) -> Pledge:
    """
    An order through the real service; `changes` are fields of Order.

    `copies` and `edition_code` make its one line, no copies a gift without a print; `waiter` takes an offer.
    """
    copies, edition_code = changes.pop("copies", 1), changes.pop("edition_code", "harbour")
    waiter = changes.pop("waiter", None)
    if copies == 0:
        changes = {"lines": (), "address": {}, "gift_minor": 1_000} | changes
    changes = {"lines": (LineWish(edition_code, copies),)} | changes
    key, order = request_key or uuid.uuid4(), OrderFactory(**changes)
    return place_pledge(show=show, request_key=key, order=order, now=now, waiter=waiter)


def wait(show: Show, *, edition_code: str = "harbour", copies: int = 1, email: str = "", now: datetime = NOW) -> Waiter:
    """A place in the waiting list of an edition, for a new person unless an `email` is given."""
    number = Waiter.objects.count()
    edition = show.editions.get(code=edition_code)
    email = email or f"waiter{number}@example.org"
    return join_list(edition=edition, name=f"Waiter Number{number}", email=email, copies=copies, now=now)


def pay(pledge: Pledge, *, amount_minor: int | None = None, now: datetime = NOW, **changes: Any) -> Receipt:
    """The whole of a pledge, or `amount_minor` of it, through the real service."""
    fields: dict[str, Any] = {"key": uuid.uuid4().hex, "fee_minor": 0, "way": pledge.way, "happened_on": now.date()}
    amount_minor = pledge.total_minor if amount_minor is None else amount_minor
    return record_payment(pledge=pledge, amount_minor=amount_minor, now=now, **(fields | changes))
