"""The lines of an order as its pages and mails say them: what, which numbers, for whom; and the friends it goes to."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from campaign.measures.words import join_words
from campaign.models import Edition, Pledge, PledgeLine
from campaign.queries.order_sums import SumRow, Sums, prints_words, sums_of_pledge


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line with the numbers of its copies, rising; none once the order has ended. Minor units."""

    edition: Edition
    copies: int
    numbers: tuple[int, ...]
    prints_minor: int
    recipient_name: str

    @property
    def words(self) -> str:
        """What it is, and for whom where it is for a friend."""
        return prints_words(self.edition.title, copies=self.copies, recipient_name=self.recipient_name)


@dataclass(frozen=True, slots=True)
class Addressed:
    """A name and an address (fields as in `campaign.addresses`), for whoever writes it as postal lines."""

    name: str
    address: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Friend:
    """Somebody else whom part of an order goes to; `line_keys` name the lines, `number` counts friends from 1."""

    number: int
    name: str
    address: Mapping[str, str]
    line_keys: frozenset[int]

    @property
    def country_code(self) -> str:
        """ISO 3166 two-letter code."""
        return self.address.get("country_code", "")


@dataclass(frozen=True, slots=True)
class OrderLines:
    """All lines of an order, whom it goes to besides the backer, and its sums."""

    lines: tuple[OrderLine, ...]
    friends: tuple[Friend, ...]
    sums: Sums

    @property
    def copies_words(self) -> str:
        """All its copies, within a sentence: "copy 3 of 80 is", with the titles where there are several."""
        held: dict[int, list[OrderLine]] = {}
        for line in self.lines:
            if line.numbers:
                held.setdefault(line.edition.pk, []).append(line)
        parts = [_number_words(lines, has_title=len(held) > 1) for lines in held.values()]
        count = sum(len(line.numbers) for lines in held.values() for line in lines)
        return f"{join_words(parts)} {'is' if count == 1 else 'are'}" if parts else ""

    @property
    def is_all_for_friends(self) -> bool:
        """Nothing of it goes to the backer."""
        return bool(self.lines) and all(line.recipient_name for line in self.lines)


def _number_words(lines: Sequence[OrderLine], *, has_title: bool) -> str:
    """The copies of one edition: "copies 3 and 4 of 80"."""
    edition, numbers = lines[0].edition, sorted(number for line in lines for number in line.numbers)
    noun = "copy" if len(numbers) == 1 else "copies"
    words = f"{noun} {join_words([str(number) for number in numbers])} of {edition.size}"
    return f"{words} of “{edition.title}”" if has_title else words


def read_order_lines(pledge: Pledge) -> OrderLines:
    """The lines of `pledge` in the order they were asked for. Two queries."""
    rows = list(pledge.lines.select_related("edition"))
    numbers: defaultdict[int, list[int]] = defaultdict(list)
    for line_pk, number in pledge.held_copies.order_by("number").values_list("line", "number"):
        numbers[line_pk].append(number)
    return order_lines_of(pledge, rows=rows, numbers=[numbers[row.pk] for row in rows])


def order_lines_of(pledge: Pledge, *, rows: Sequence[PledgeLine], numbers: Sequence[Sequence[int]]) -> OrderLines:
    """The same from rows that have been read or will be written, with the numbers of the copies of each. No query."""
    lines = tuple(
        OrderLine(row.edition, row.copies, tuple(held), row.prints_minor, row.recipient_name)
        for row, held in zip(rows, numbers, strict=True)
    )
    countries = [(row.address or pledge.address).get("country_code", "") for row in rows]
    return OrderLines(
        lines=lines,
        friends=list_friends(rows),
        sums=sums_of_pledge(
            pledge, lines=[SumRow(line.words, line.prints_minor) for line in lines], countries=countries
        ),
    )


def list_friends(lines: Iterable[PledgeLine]) -> tuple[Friend, ...]:
    """Whom the lines go to besides the backer: each name at each address once, in the order of the lines."""
    found: list[tuple[str, Mapping[str, str], set[int]]] = []
    for line in lines:
        if not (line.recipient_name or line.address):
            continue
        known = next((one for one in found if one[:2] == (line.recipient_name, line.address)), None)
        if known is None:
            known = (line.recipient_name, line.address, set())
            found.append(known)
        known[2].add(line.pk)
    return tuple(
        Friend(number, name, address, frozenset(keys)) for number, (name, address, keys) in enumerate(found, start=1)
    )


def find_friend(lines: Sequence[PledgeLine], *, number: int) -> Friend | None:
    """The friend with that number, or None."""
    return next((friend for friend in list_friends(lines) if friend.number == number), None)
