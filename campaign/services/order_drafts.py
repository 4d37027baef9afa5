"""
An order as it will be recorded, made ready before anybody has to wait: checked, priced, its mail written.

Between the lock and the commit of one order all the others wait, so nothing is worked out there that can be known
before. What cannot is which copies it gets: their numbers are blanks in the mail until they are taken.
"""

import secrets
import uuid
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from campaign import mail
from campaign.errors import NotOnSale, SumChanged, WayNotOffered
from campaign.models import Edition, OutboxMessage, Pledge, PledgeLine, Source
from campaign.models.codes import new_pledge_code
from campaign.queries.basket import Basket, LineWish, price_basket, tables_of
from campaign.queries.order_ground import Ground, Values
from campaign.queries.order_lines import order_lines_of
from campaign.queries.postage import is_way_offered
from campaign.references import make_reference
from campaign.services.on_sale import check_open, check_window

LEAST_BLANK = 10**17  # as wide as all others, and a number that nobody guesses and writes into a form


@dataclass(frozen=True, slots=True)
class Order:
    """What a backer asks for, for themselves and for friends; no `lines` for a gift without a print."""

    name: str
    email: str
    way: str
    lines: tuple[LineWish, ...] = ()
    gift_minor: int = 0
    address: Mapping[str, str] = field(default_factory=dict)
    is_thanked_by_name: bool = False
    wants_updates: bool = False
    message: str = ""
    source_tag: str = ""  # of the link followed; one that nobody made counts as none
    agreed_total_minor: int | None = None  # the sum the backer saw; None where nobody was shown one

    def __post_init__(self) -> None:
        if any(line.copies <= 0 for line in self.lines):
            raise ValueError("a line is for one copy or more")

    @property
    def copies_of(self) -> dict[str, int]:
        """Copies by the code of their edition."""
        copies: dict[str, int] = {}
        for line in self.lines:
            copies[line.edition_code] = copies.get(line.edition_code, 0) + line.copies
        return copies


@dataclass(frozen=True, slots=True)
class Draft:
    """An order that waits for its copies; `as_read` is what the database said of what it was made on."""

    ground: Ground
    order: Order
    source: Source | None
    editions: Mapping[int, Edition]
    as_read: Mapping[int, Values]
    pledge: Pledge
    lines: Sequence[PledgeLine]
    letter: OutboxMessage
    blanks: Mapping[int, Sequence[int]]  # by edition, rising

    def written(self, numbers: Mapping[int, Sequence[int]]) -> OutboxMessage:
        """Its mail with the numbers of its copies, which are given by line, in place of the blanks."""
        letter, held = self.letter, _by_edition(self.lines, [numbers[line.pk] for line in self.lines])
        for edition, blanks in self.blanks.items():
            for blank, number in zip(blanks, sorted(held[edition]), strict=True):
                letter.text = letter.text.replace(str(blank), str(number))
                letter.html = letter.html.replace(str(blank), str(number))
        return letter


def draft_order(ground: Ground, *, order: Order, source: Source | None, request_key: uuid.UUID, now: datetime) -> Draft:
    """
    What `order` would be on this ground.

    Raises: NotOnSale, CampaignNotOpen, WayNotOffered, NoPostage, SumChanged.
    """
    show = ground.show
    editions = _find_editions(ground, order=order)
    check_open(show, now=now)
    if not is_way_offered(studio=ground.studio, show=show, way=order.way):
        raise WayNotOffered(way=order.way)
    for edition in editions.values():
        check_window(edition, show=show, now=now)
    basket = price_basket(
        tables_of(ground, now=now), lines=order.lines, address=order.address, gift_minor=order.gift_minor
    )
    pledge = _build(ground, basket=basket, order=order, source=source, request_key=request_key, now=now)
    if order.agreed_total_minor not in (None, pledge.total_minor):
        raise SumChanged(agreed_minor=order.agreed_total_minor or 0, total_minor=pledge.total_minor)
    pledge.full_clean(exclude=["show", "source"], validate_unique=False, validate_constraints=False)
    lines = _build_lines(pledge, basket=basket)
    numbers = list(_blanks(lines))
    return Draft(
        ground=ground,
        order=order,
        source=source,
        editions=editions,
        as_read={key: ground.as_read[key] for key in editions},
        pledge=pledge,
        lines=lines,
        letter=mail.pledge_placed(
            pledge=pledge, studio=ground.studio, order=order_lines_of(pledge, rows=lines, numbers=numbers), now=now
        ),
        blanks=_by_edition(lines, numbers),
    )


def _find_editions(ground: Ground, *, order: Order) -> dict[int, Edition]:
    wanted = order.copies_of
    found = {edition.pk: edition for edition in ground.editions if edition.code in wanted}
    unknown = sorted(set(wanted) - {edition.code for edition in found.values()})
    if unknown:
        raise NotOnSale(title=unknown[0])
    return dict(sorted(found.items()))


def _blanks(lines: Sequence[PledgeLine]) -> Iterator[list[int]]:
    """A number for each copy of each line that stands nowhere else; rising, so that words come in their order."""
    blank = LEAST_BLANK + secrets.randbelow(8 * LEAST_BLANK)
    for line in lines:
        yield list(range(blank, blank + line.copies))
        blank += line.copies


def _by_edition(lines: Sequence[PledgeLine], numbers: Sequence[Sequence[int]]) -> dict[int, list[int]]:
    held: dict[int, list[int]] = {}
    for line, own in zip(lines, numbers, strict=True):
        held.setdefault(line.edition_id, []).extend(own)
    return held


def _build(
    ground: Ground, *, basket: Basket, order: Order, source: Source | None, request_key: uuid.UUID, now: datetime
) -> Pledge:
    code, show = new_pledge_code(), ground.show
    return Pledge(
        show=show,
        code=code,
        request_key=request_key,
        name=order.name,
        email=order.email,
        address=dict(order.address),
        is_thanked_by_name=order.is_thanked_by_name,
        wants_updates=order.wants_updates,
        message=order.message,
        source=source,
        copies=basket.copies,
        currency=show.currency,
        prints_minor=basket.prints_minor,
        postage_minor=basket.postage_minor,
        gift_minor=basket.gift_minor,
        postage_cost_minor=basket.postage_cost_minor,
        make_cost_minor=sum(line.make_cost_minor for line in basket.lines),
        pack_cost_minor=sum(line.pack_cost_minor for line in basket.lines),
        set_aside_minor=basket.kept_minor(set_aside_bp=show.set_aside_bp),
        tax_name=basket.tax.name,
        tax_bp=basket.tax.rate_bp,
        tax_minor=basket.tax_minor,
        tax_added_minor=basket.tax_added_minor,
        posting_by_on=show.posting_by_on if basket.lines else None,
        way=order.way,
        reference=make_reference(code),
        placed_at=now,
        hold_until_at=now + timedelta(days=show.hold_days),
    )


def _build_lines(pledge: Pledge, *, basket: Basket) -> list[PledgeLine]:
    return [
        PledgeLine(
            pledge=pledge,
            edition=line.edition,
            copies=line.wish.copies,
            prints_minor=line.prints_minor,
            make_cost_minor=line.make_cost_minor,
            pack_cost_minor=line.pack_cost_minor,
            recipient_name=line.wish.recipient_name,
            address=dict(line.wish.address),
        )
        for line in basket.lines
    ]
