"""The kinds of change that would hang a work, with their numbers; found in why and tries, worded in why_words."""

from dataclasses import dataclass
from enum import StrEnum

from campaign.planning.explaining.lacks import Lacking


class Kind(StrEnum):
    """What would have to change, roughly in the order in which it is easy to change."""

    MONEY = "money"
    INSIST = "insist"
    INSIST_MONEY = "insist_money"
    WORTH = "worth"
    WALL = "wall"
    PRINTER = "printer"
    RULE = "rule"
    LACK = "lack"
    NO_OPTION = "no_option"


class Rule(StrEnum):
    """A wish of the artist's that keeps a work from hanging beside the others."""

    PIN = "pin"
    PAIRS = "pairs"
    SERIES = "series"
    FINISHES = "finishes"
    MUST_HANG = "must_hang"


@dataclass(frozen=True, slots=True)
class Change:
    """
    One change that would hang the work, by itself.

    MONEY: `amount` more, which makes `total`. INSIST: with `must_hang` it hangs at the same money, for a show worth
    `amount` points less; `taken_down` then do not hang. INSIST_MONEY: with `must_hang` and `amount` more, which makes
    `total`, it hangs in a show worth no less than now; where the money hangs no show with it at all, in the cheapest
    one (`is_least`). WORTH: the option `option_index` hangs once it is worth more than `total`, `amount` more than now.
    WALL: the wall `wall_code` longer by `amount` mm, which makes `total`. PRINTER: `amount` more seconds, which make
    `total`. RULE: without `rule`. LACK: `lacking`, which no money makes good. NO_OPTION: it is offered in no size and
    finish.
    """

    kind: Kind
    amount: int = 0
    total: int = 0
    taken_down: tuple[str, ...] = ()
    option_index: int = -1
    wall_code: str = ""
    rule: Rule | None = None
    lacking: Lacking | None = None
    is_least: bool = False
