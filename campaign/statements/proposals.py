"""What a movement on the account may be, said with its reason. The artist decides; nothing is booked here."""

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from campaign.references import PaymentDetailError, check_reference
from campaign.statements.lines import Movement

NEAR_DAYS = 10  # between a line of the bank and the same money booked by hand


class Verdict(StrEnum):
    """What was found."""

    AGREES = "agrees"
    LESS = "less"
    MORE = "more"
    AGAIN = "again"
    ENDED = "ended"
    NAME = "name"
    TYPO = "typo"
    BOOKED = "booked"
    REFUND = "refund"
    RETURNED = "returned"
    CURRENCY = "currency"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Order:
    """An order as far as a payment can tell it; `state` is held, paid, cancelled or lapsed."""

    code: str
    reference: str
    name: str
    total_minor: int
    received_minor: int
    state: str

    @property
    def missing_minor(self) -> int:
        """What is still to come, zero or more."""
        return max(0, self.total_minor - self.received_minor)


@dataclass(frozen=True, slots=True)
class OwedSum:
    """Money that is to go back by bank transfer; `key` names it for the caller."""

    key: str
    order_code: str
    amount_minor: int
    iban: str = ""
    name: str = ""


@dataclass(frozen=True, slots=True)
class Booked:
    """Money on the bank account that is in the cash book without a line of the bank; below zero if it left."""

    key: str
    happened_on: date
    amount_minor: int
    words: str
    order_code: str = ""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A verdict, its reason as a sentence, and what it points at."""

    verdict: Verdict
    why: str
    order_code: str = ""
    key: str = ""

    @property
    def is_certain(self) -> bool:
        """True where reference and sum agree, so that it can be booked with all others of its kind."""
        return self.verdict is Verdict.AGREES


@dataclass(slots=True)
class _Books:
    """What is known, arranged for looking up; `received` and the open rows change as movements take them up."""

    orders: Mapping[str, Order]
    by_reference: dict[str, Order]
    by_name: dict[str, list[Order]]
    near: dict[str, set[str]]
    received: dict[str, int]
    owed: list[OwedSum]
    booked: list[Booked]
    currency: str

    def missing_minor(self, order: Order) -> int:
        return max(0, order.total_minor - self.received[order.code])


def propose(
    movements: Sequence[Movement],
    *,
    orders: Iterable[Order],
    owed: Iterable[OwedSum] = (),
    booked: Iterable[Booked] = (),
    currency: str,
) -> list[Proposal]:
    """
    For each movement what it seems to be, in their order; of two equal payments the second is seen as coming again.

    Parameters: orders, all of the show; owed, sums to go back by transfer; booked, money on the bank account that was
        booked without a line of the bank; currency, of the show.
    Returns: one proposal each. Never raises.
    """
    books = _arranged(orders, owed=owed, booked=booked, currency=currency)
    return [_one(movement, books=books) for movement in movements]


def _arranged(orders: Iterable[Order], *, owed: Iterable[OwedSum], booked: Iterable[Booked], currency: str) -> _Books:
    listed = {order.code: order for order in orders}
    by_name: dict[str, list[Order]] = defaultdict(list)
    near: dict[str, set[str]] = defaultdict(set)
    for order in listed.values():
        by_name[plain_name(order.name)].append(order)
        for shorter in _shortened(order.reference):
            near[shorter].add(order.reference)
    return _Books(
        orders=listed, by_reference={order.reference: order for order in listed.values()}, by_name=by_name, near=near,
        received={order.code: order.received_minor for order in listed.values()}, owed=list(owed),
        booked=list(booked), currency=currency,
    )  # fmt: skip


def _one(movement: Movement, *, books: _Books) -> Proposal:
    if movement.currency != books.currency:
        return Proposal(Verdict.CURRENCY, f"It is in {movement.currency}; this show counts in {books.currency}.")
    order = _by_reference(movement, books=books)
    by_hand = _by_hand(movement, order=order, books=books)
    if by_hand:
        return by_hand
    if movement.amount_minor < 0:
        return _money_left(movement, order=order, books=books)
    if order:
        return _with_reference(movement, order=order, books=books)
    return _by_typo(movement, books=books) or _by_name(movement, books=books) or _unknown(movement)


def _with_reference(movement: Movement, *, order: Order, books: _Books) -> Proposal:
    sent_minor, missing_minor = movement.sent_minor, books.missing_minor(order)
    if order.state in ("cancelled", "lapsed"):
        how = "was cancelled" if order.state == "cancelled" else "had lapsed"
        proposal = Proposal(Verdict.ENDED, f"The reference agrees, but the order {how}.", order.code)
    elif missing_minor == 0:
        proposal = Proposal(Verdict.AGAIN, "The reference agrees, but the order is paid already.", order.code)
    elif sent_minor == missing_minor:
        proposal = Proposal(Verdict.AGREES, "Reference and sum agree.", order.code)
    elif sent_minor < missing_minor:
        proposal = Proposal(Verdict.LESS, "The reference agrees; it is less than is missing.", order.code)
    else:
        proposal = Proposal(Verdict.MORE, "The reference agrees; it is more than is missing.", order.code)
    if order.state in ("held", "paid"):  # the next movement for this order finds this one counted
        books.received[order.code] += sent_minor
    return proposal


def _by_typo(movement: Movement, *, books: _Books) -> Proposal | None:
    pairs = {
        (text, reference) for text in _candidates(movement, books=books) for reference in _one_mistake_from(text, books)
    }
    if len({reference for _, reference in pairs}) != 1:
        return None
    typed, reference = min(pairs)
    order = books.by_reference[reference]
    if order.state not in ("held", "paid"):
        return None
    sums = "the sum agrees" if movement.sent_minor == books.missing_minor(order) else "the sum is another"
    tell = "" if _is_sound(typed) else " (its check digits do not fit)"
    return Proposal(Verdict.TYPO, f"The reference has one typing mistake{tell}; {sums}.", order.code)


def _by_name(movement: Movement, *, books: _Books) -> Proposal | None:
    fits = [
        order for order in books.by_name.get(plain_name(movement.party_name), ())
        if order.state == "held" and books.missing_minor(order) == movement.sent_minor
    ]  # fmt: skip
    if len(fits) != 1 or not plain_name(movement.party_name):
        return None
    books.received[fits[0].code] += movement.sent_minor
    return Proposal(Verdict.NAME, "No reference; name and sum agree.", fits[0].code)


def _by_hand(movement: Movement, *, order: Order | None, books: _Books) -> Proposal | None:
    """The same money, booked by hand or by the card processor's payout a few days before or after."""
    near = [
        one for one in books.booked
        if one.amount_minor in (movement.amount_minor, movement.amount_minor + movement.fee_minor)
        and abs((one.happened_on - movement.booked_on).days) <= NEAR_DAYS
        and (one.order_code == order.code if order else not one.order_code or _names_agree(one, movement, books=books))
    ]  # fmt: skip
    if not near:
        return None
    found = min(near, key=lambda one: (abs((one.happened_on - movement.booked_on).days), one.key))
    books.booked.remove(found)
    return Proposal(Verdict.BOOKED, f"It is in the cash book already: {found.words}.", found.order_code, found.key)


def _names_agree(booked: Booked, movement: Movement, *, books: _Books) -> bool:
    order = books.orders.get(booked.order_code)
    return order is not None and plain_name(order.name) == plain_name(movement.party_name) != ""


def _money_left(movement: Movement, *, order: Order | None, books: _Books) -> Proposal:
    fits = [
        one for one in books.owed
        if one.amount_minor == movement.sent_minor and _is_to(one, movement=movement, order=order)
    ]  # fmt: skip
    if len({one.order_code for one in fits}) == 1:
        books.owed.remove(fits[0])
        return Proposal(
            Verdict.REFUND, "It is a sum that was to go back, to the right person.", fits[0].order_code, fits[0].key
        )
    if order and movement.is_reversal:
        return Proposal(Verdict.RETURNED, "The bank took back a payment for this order.", order.code)
    if order:
        return Proposal(Verdict.RETURNED, "It carries the reference of this order.", order.code)
    return Proposal(Verdict.UNKNOWN, "Money that left; nothing that is owed agrees with it.")


def _is_to(owed: OwedSum, *, movement: Movement, order: Order | None) -> bool:
    if order:
        return owed.order_code == order.code
    if owed.iban and movement.party_iban:
        return owed.iban == movement.party_iban
    return plain_name(owed.name) == plain_name(movement.party_name) != ""


def _unknown(movement: Movement) -> Proposal:
    why = "Neither a reference nor name and sum agree with an order."
    return Proposal(Verdict.UNKNOWN, f"{why} The bank marks it as a reversal." if movement.is_reversal else why)


def plain_name(name: str) -> str:
    """
    A name for comparing: no accents, no titles, no order of its parts.

    >>> plain_name("Dr. Müller, Anna"), plain_name("Anna Mueller")
    ('anna mueller', 'anna mueller')
    """
    spelled = name.casefold().translate({0xE4: "ae", 0xF6: "oe", 0xFC: "ue", 0xF8: "oe", 0xE5: "aa", 0xE6: "ae"})
    letters = "".join(c for c in unicodedata.normalize("NFKD", spelled) if not unicodedata.combining(c))
    words = [word for word in re.split(r"[^\w]+", letters) if word and word not in _TITLES]
    return " ".join(sorted(words))


_TITLES = {"dr", "prof", "mr", "mrs", "ms", "herr", "frau", "mme", "mlle", "and", "und", "et", "or", "oder"}


def _compact(text: str) -> str:
    return re.sub(r"[\s./:-]", "", text).upper()


def _starts(text: str, *, lengths: Iterable[int]) -> Iterator[str]:
    """Pieces of `text` that begin with RF, as long as one of `lengths`."""
    for found in re.finditer("RF", text):
        for length in lengths:
            piece = text[found.start() : found.start() + length]
            if len(piece) == length:
                yield piece


def _by_reference(movement: Movement, *, books: _Books) -> Order | None:
    """The one order whose reference stands in the line; two orders' references are no answer."""
    lengths = {len(reference) for reference in books.by_reference}
    texts = (_compact(movement.reference), _compact(movement.text))
    found = {piece for text in texts for piece in _starts(text, lengths=lengths) if piece in books.by_reference}
    return books.by_reference[found.pop()] if len(found) == 1 else None


def _candidates(movement: Movement, *, books: _Books) -> set[str]:
    """What may be meant as a reference: pieces from RF on, and words of about the right length."""
    lengths = {len(one) + more for one in books.by_reference for more in (-1, 0, 1)}
    texts = (_compact(movement.reference), _compact(movement.text))
    pieces = {piece for text in texts for piece in _starts(text, lengths=lengths)}
    words = {_compact(word) for word in f"{movement.reference} {movement.text}".split()} | {texts[0]}
    return {one for one in pieces | words if len(one) in lengths}


def _is_sound(text: str) -> bool:
    try:
        return bool(check_reference(text))
    except PaymentDetailError:
        return False


def _shortened(text: str) -> set[str]:
    return {text[:place] + text[place + 1 :] for place in range(len(text))}


def _one_mistake_from(text: str, books: _Books) -> set[str]:
    """References that differ from `text` by one wrong, missing, additional or swapped character."""
    shorter = _shortened(text)
    near = {one for piece in (*shorter, text) for one in books.near.get(piece, ())}
    near |= {one for one in shorter if one in books.by_reference}
    return {one for one in near if is_one_mistake(text, one)}


def is_one_mistake(typed: str, meant: str) -> bool:
    """
    True if one character is wrong, missing or too many, or two neighbours are swapped.

    >>> is_one_mistake("RF18A", "RF81A"), is_one_mistake("RF18", "RF18A"), is_one_mistake("RF19B", "RF18A")
    (True, True, False)
    """
    if len(typed) == len(meant):
        differing = [place for place, (one, other) in enumerate(zip(typed, meant, strict=True)) if one != other]
        if len(differing) == 2 and differing[1] == differing[0] + 1:
            first, second = differing
            return typed[first] == meant[second] and typed[second] == meant[first]
        return len(differing) == 1
    longer, shorter = (typed, meant) if len(typed) > len(meant) else (meant, typed)
    return shorter in _shortened(longer)
