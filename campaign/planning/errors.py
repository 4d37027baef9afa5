"""What can go wrong in a plan, one class per outcome, each carrying its numbers; wording for pages is not here."""


class PlanningError(ValueError):
    """A plan, a cost or a drawing cannot be made from what was given."""


class InvalidRequest(PlanningError):
    """A number or code in the input makes no sense: `field` says which, `found` what it was."""

    def __init__(self, *, field: str, found: object, expected: str) -> None:
        super().__init__(f"{field} is {found!r}; expected {expected}.")
        self.field = field
        self.found = found
        self.expected = expected


class NotPlaceable(PlanningError):
    """These works together do not fit on the walls: `codes` names them."""

    def __init__(self, *, codes: tuple[str, ...]) -> None:
        super().__init__(f"These works do not fit on the walls together: {', '.join(codes)}.")
        self.codes = codes


class NotForSale(PlanningError):
    """A supply is needed beyond the shelf and has no price: `lack_micro` millionths of its unit are missing."""

    def __init__(self, *, supply_code: str, lack_micro: int) -> None:
        super().__init__(f"{supply_code} cannot be bought and {lack_micro} millionths of a unit are missing.")
        self.supply_code = supply_code
        self.lack_micro = lack_micro


class WallTooNarrow(PlanningError):
    """A row needs more wall than there is; both lengths in millimetres."""

    def __init__(self, *, needed_mm: int, available_mm: int) -> None:
        super().__init__(f"The row needs {needed_mm} mm and the wall offers {available_mm} mm.")
        self.needed_mm = needed_mm
        self.available_mm = available_mm


def require(*, field: str, found: int, least: int) -> None:
    """Raises: InvalidRequest when `found` is below `least`."""
    if found < least:
        raise InvalidRequest(field=field, found=found, expected=f"{least} or more")


class OverSizeTable(PlanningError):
    """A piece is larger than every row of an item's size table; millimetres."""

    def __init__(self, *, item_name: str, width_mm: int, height_mm: int) -> None:
        super().__init__(f"The size table of {item_name} has no row for {width_mm} × {height_mm} mm.")
        self.item_name = item_name
        self.width_mm = width_mm
        self.height_mm = height_mm
