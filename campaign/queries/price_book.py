"""The price book as the planning package reads it: items with packs, steps, size tables and shelf; finishes; gifts."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import groupby
from operator import itemgetter

from campaign.models import Finish, GiftInKind, PriceItem, PriceStep, Show, SizePrice
from campaign.planning import Basis, FinishSpec, RecipeLine, Wording
from campaign.planning import PriceItem as ItemSpec
from campaign.planning import PriceStep as StepSpec
from campaign.planning import SizePrice as SizePriceSpec
from campaign.queries.prepared import Prepared

Given = tuple[tuple[str, str], ...]
BY_SIZE = {Basis.PRINT_SIZE, Basis.OUTER_SIZE}
_ITEM_FIELDS = (
    "code", "name", "unit", "price_minor", "per_milli", "mass_g_per_unit", "is_sold_in_packs", "shelf_milli",
)  # fmt: skip
_FINISH_FIELDS = (
    "code", "name", "worth", "border_mm", "mat_mm", "moulding_mm", "is_printed_at_home", "setup_minor", "least_minor",
    "lead_days", "depth_mm",
)  # fmt: skip
_LINE_FIELDS = ("item__code", "basis", "quantity_milli", "waste_bp")
_ITEMS = Prepared(lambda show: PriceItem.objects.filter(show=show).values_list("pk", *_ITEM_FIELDS))
_STEPS = Prepared(
    lambda show: PriceStep.objects.filter(item__show=show).values_list("item", "from_packs", "price_minor")
)
_SIZE_PRICES = Prepared(
    lambda show: SizePrice.objects.filter(item__show=show).values_list("item", "width_mm", "height_mm", "price_minor")
)
_FINISHES = Prepared(
    lambda show: (
        Finish.objects.filter(show=show)
        .order_by("position", "pk", "recipe_lines__position", "recipe_lines__pk")
        .values_list(*_FINISH_FIELDS, *(f"recipe_lines__{field}" for field in _LINE_FIELDS))
    )
)
_GIFTS = Prepared(
    lambda show: (
        GiftInKind.objects.filter(show=show)
        .order_by("pk")
        .values_list("item__code", "work__code", "quantity_milli", "giver")
    )
)


@dataclass(frozen=True, slots=True)
class PriceBook:
    """
    What options are costed from. `items` and `finishes` by code, in the artist's order; what is given for the show
    lies on the items' shelf. `given` maps a work's code to (item code, giver) pairs.
    """

    items: Mapping[str, ItemSpec]
    finishes: Mapping[str, FinishSpec]
    given: Mapping[str, Given]


def wording_of(show: Show) -> Wording:
    """How the show's amounts and sizes are written."""
    return Wording(currency=show.currency, locale=show.locale, length_unit=show.length_unit)


def read_price_book(show: Show) -> PriceBook:
    """The price book of `show`. Five queries, whatever the number of items, finishes and gifts."""
    shelf: defaultdict[str, int] = defaultdict(int)
    given: defaultdict[str, list[tuple[str, str]]] = defaultdict(list)
    for item, work, quantity, giver in _GIFTS(show.pk):
        shelf[item] += quantity
        if work is not None:
            given[work].append((item, giver))
    items = _items(show, given_milli=shelf)
    return PriceBook(
        items=items,
        finishes=_finishes(show, items=items),
        given={work: _one_giver_each(pairs) for work, pairs in given.items()},
    )


def sized_codes(show: Show) -> frozenset[str]:
    """Codes of items that recipes take by their size table alone: price, packs and shelf change nothing then."""
    bases: defaultdict[str, set[str]] = defaultdict(set)
    used = PriceItem.objects.filter(show=show, recipe_lines__isnull=False)
    for code, basis in used.values_list("code", "recipe_lines__basis"):
        bases[code].add(basis)
    return frozenset(code for code, found in bases.items() if found <= BY_SIZE)


def _one_giver_each(pairs: list[tuple[str, str]]) -> Given:
    """Two who give the same thing for the same work are named together."""
    givers: dict[str, list[str]] = {}
    for item, giver in pairs:
        givers.setdefault(item, []).append(giver)
    return tuple((item, " and ".join(names)) for item, names in givers.items())


def _items(show: Show, *, given_milli: Mapping[str, int]) -> dict[str, ItemSpec]:
    steps: defaultdict[int, list[StepSpec]] = defaultdict(list)
    for item_pk, *step in _STEPS(show.pk):
        steps[item_pk].append(StepSpec(*step))
    tables: defaultdict[int, list[SizePriceSpec]] = defaultdict(list)
    for item_pk, *row in _SIZE_PRICES(show.pk):
        tables[item_pk].append(SizePriceSpec(*row))
    return {
        code: ItemSpec(
            code,
            name,
            unit,
            price_minor,
            per_milli,
            mass_g,
            in_packs,
            shelf_milli + given_milli.get(code, 0),
            tuple(steps[pk]),
            tuple(tables[pk]),
        )
        for pk, code, name, unit, price_minor, per_milli, mass_g, in_packs, shelf_milli in _ITEMS(show.pk)
    }


def _finishes(show: Show, *, items: Mapping[str, ItemSpec]) -> dict[str, FinishSpec]:
    finishes: dict[str, FinishSpec] = {}
    for code, grouped in groupby(_FINISHES(show.pk), key=itemgetter(0)):
        found = list(grouped)
        _, name, worth, border, mat, moulding, at_home, setup, least, lead_days, depth = found[0][: len(_FINISH_FIELDS)]
        lines = tuple(
            RecipeLine(items[item], Basis(basis), quantity, waste)
            for item, basis, quantity, waste in (row[len(_FINISH_FIELDS) :] for row in found)
            if item is not None  # a finish without a recipe has one row without a line
        )
        finishes[code] = FinishSpec(
            code, name, worth, border, mat, moulding, at_home, lines, setup, least, lead_days, depth
        )
    return finishes
