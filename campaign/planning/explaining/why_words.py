"""Why a work does not hang, in sentences for the artist; what would hang it is found in why."""

from collections.abc import Mapping

from campaign.measures.lengths import format_length
from campaign.measures.words import count_of, name_some
from campaign.planning.costing.quantities import Wording
from campaign.planning.explaining.hangers import Change, Kind, Rule
from campaign.planning.explaining.lacks import Lack, Lacking

_RULES = {
    Rule.PIN: "It could hang if it were not pinned to its wall or place",
    Rule.PAIRS: "It could hang without what is said of it beside other works: apart from them, or on one wall",
    Rule.SERIES: "It could hang if works of a series need not share a finish",
    Rule.FINISHES: "It could hang if more different finishes were allowed in the room",
    Rule.MUST_HANG: "It could hang if other works did not have to hang",
}


def say_change(
    change: Change, *, wording: Wording, walls: Mapping[str, str], titles: Mapping[str, str], option_name: str = ""
) -> str:
    """
    One change as a sentence.

    Parameters: walls and titles, names by code; option_name, size and finish of the change's option in words.
    """
    wall = walls.get(change.wall_code, change.wall_code)
    if change.lacking:
        return _lack_words(change.lacking, wall=wall, wording=wording)
    if change.kind in (Kind.MONEY, Kind.INSIST_MONEY):
        return _money_words(change, wording=wording)
    match change.kind:
        case Kind.INSIST:
            return _insist_words(change, titles=titles)
        case Kind.WORTH:
            named, now = f" in {option_name}" if option_name else "", change.total - change.amount
            return f"It hangs at this money once it is worth more than {change.total:,} points{named}, now {now:,}."
        case Kind.WALL:
            more, total = (format_length(mm, unit=wording.length_unit) for mm in (change.amount, change.total))
            return f"It hangs if “{wall}” is {more} longer, {total} in all."
        case Kind.PRINTER:
            return f"It hangs with {_time(change.amount)} more on the printer, {_time(change.total)} in all."
        case Kind.RULE if change.rule:
            return f"{_RULES[change.rule]}."
        case _:
            return "It is offered in no size and finish that has a price."


def _money_words(change: Change, *, wording: Wording) -> str:
    total, more = wording.money(change.total), wording.money(change.amount)
    if change.kind == Kind.MONEY:
        return f"It hangs from {total} of wall money on: {more} more."
    if change.is_least:
        return f"Insist that it hangs, and the cheapest show with it needs {total}: {more} more."
    return f"Insist that it hangs, and from {total}, {more} more, the show is worth no less than now."


def _insist_words(change: Change, *, titles: Mapping[str, str]) -> str:
    if change.amount == 0:
        return "Insist that it hangs, and the show is worth as much as now."
    taken = name_some([titles[code] for code in change.taken_down])
    verb = "comes" if len(change.taken_down) == 1 else "come"
    down = f": {taken} {verb} down" if taken else ", because others hang smaller or in plainer finishes"
    return f"Insist that it hangs, and at this money the show is worth {change.amount:,} points less{down}."


def _lack_words(lacking: Lacking, *, wall: str, wording: Wording) -> str:
    length = format_length(lacking.amount, unit=wording.length_unit) if lacking.amount else ""
    where = f", on “{wall}”," if wall else ""
    match lacking.lack:
        case Lack.WORTH:
            return "It is worth nothing by your own points, so no show has a reason for it."
        case Lack.LENGTH:
            return f"It is too wide: the longest stretch that is high enough, on “{wall}”, is {length} too short."
        case Lack.HEIGHT:
            return f"It is too high for every row: in the highest one{where} {length} are missing."
        case Lack.PLACE:
            return f"Where it is pinned on “{wall}”, {length} of free wall are missing on one side."
        case Lack.PRINTER:
            return f"Its print takes {_time(lacking.amount)} more than the printer has left."
        case Lack.LEAD:
            days = count_of(lacking.amount, "working day")
            return f"Its finish takes {days} longer than there is before hanging day."


def _time(seconds: int) -> str:
    """
    Hours and minutes, a started minute counted.

    >>> _time(5400), _time(61)
    ('1 h 30 min', '2 min')
    """
    hours, minutes = divmod(-(-seconds // 60), 60)
    if not hours:
        return f"{minutes} min"
    return f"{hours} h {minutes} min" if minutes else f"{hours} h"
