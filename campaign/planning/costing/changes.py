"""What if one price, wall, finish or the printer's time were another: changes to specs before they are costed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from campaign.planning.inputs import WallSpec
from campaign.planning.specs import FinishSpec, PriceItem


@dataclass(frozen=True, slots=True)
class Changes:
    """
    One value each of an item, a wall, a finish and the printer; a code that is empty or unknown changes nothing.

    `printer_seconds` is all the printer's time on the print days, what the ordered prints take included.
    """

    item_code: str = ""
    price_minor: int = 0
    wall_code: str = ""
    wall_width_mm: int = 0
    finish_code: str = ""
    finish_worth: int = 0
    printer_seconds: int | None = None

    def to_items(self, items: Mapping[str, PriceItem]) -> dict[str, PriceItem]:
        """The price book with the one price changed; steps and size tables stay."""
        return {code: self._item(item) for code, item in items.items()}

    def to_finishes(self, finishes: Mapping[str, FinishSpec]) -> dict[str, FinishSpec]:
        """The finishes with the one worth changed, their recipes taking the changed price."""
        return {code: self._finish(finish) for code, finish in finishes.items()}

    def to_walls(self, walls: Sequence[WallSpec]) -> tuple[WallSpec, ...]:
        """The walls with the one length changed, at its right end."""
        return tuple(
            replace(wall, width_mm=self.wall_width_mm) if wall.code == self.wall_code else wall for wall in walls
        )

    def _item(self, item: PriceItem) -> PriceItem:
        return replace(item, price_minor=self.price_minor) if item.code == self.item_code else item

    def _finish(self, finish: FinishSpec) -> FinishSpec:
        lines = tuple(replace(line, item=self._item(line.item)) for line in finish.lines)
        worth = self.finish_worth if finish.code == self.finish_code else finish.worth
        return replace(finish, lines=lines, worth=worth)


NO_CHANGES = Changes()
