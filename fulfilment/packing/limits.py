"""What a postal service takes: sides, girth, weight, and the weight by size; whole millimetres and grams."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Box:
    """Outer size of a parcel. Of a tube `width_mm` and `depth_mm` are its diameter."""

    length_mm: int
    width_mm: int
    depth_mm: int
    is_tube: bool = False

    @property
    def sides_mm(self) -> tuple[int, int, int]:
        """Longest first."""
        first, second, third = sorted((self.length_mm, self.width_mm, self.depth_mm), reverse=True)
        return first, second, third

    @property
    def girth_mm(self) -> int:
        """Once around, across the longest side: twice the sum of the two shorter sides."""
        _, second, third = self.sides_mm
        return 2 * (second + third)

    @property
    def volume_mm3(self) -> int:
        """As carriers reckon: a tube as the box around it."""
        return self.length_mm * self.width_mm * self.depth_mm


@dataclass(frozen=True, slots=True)
class Limits:
    """
    What a service takes at most, 0 where it says nothing.

    `least_face_mm` are the two sides that the face must have at least. `divisor_mm3_per_g` turns a volume into a
    weight to be paid for (5,000,000 mm³ a kilogram is 5,000), for volumes above `divisor_from_mm3`.
    """

    name: str
    mass_g: int = 0
    longest_mm: int = 0
    sum_mm: int = 0
    tube_longest_mm: int = 0
    tube_sum_mm: int = 0
    length_and_girth_mm: int = 0
    least_face_mm: tuple[int, int] = (0, 0)
    divisor_mm3_per_g: int = 0
    divisor_from_mm3: int = 0


# Letter post of the Universal Postal Union: small packets. As several posts publish it; see tests/outside/.
LETTER_POST = Limits(
    "letter post", mass_g=2_000, longest_mm=600, sum_mm=900, tube_longest_mm=900, tube_sum_mm=1_040,
    least_face_mm=(140, 90),
)  # fmt: skip


def limit_faults(box: Box | None, *, mass_g: int, limits: Limits) -> tuple[str, ...]:
    """
    Why a service does not take a parcel: one sentence for each limit that is passed, empty where it takes it.

    Parameters: box, None where the size is not known; then the weight alone is looked at.

    >>> limit_faults(Box(440, 610, 10), mass_g=900, limits=LETTER_POST)
    ('longest side 610 mm, at most 600 mm', 'sides together 1,060 mm, at most 900 mm')
    >>> limit_faults(Box(900, 70, 70, is_tube=True), mass_g=900, limits=LETTER_POST)
    ()
    """
    checks = [("weight", mass_g, limits.mass_g, "g")]
    if box is not None:
        checks += _size_checks(box, limits)
    faults = [f"{what} {is_:,} {unit}, at most {most:,} {unit}" for what, is_, most, unit in checks if 0 < most < is_]
    return (*faults, *(_face_faults(box, limits) if box is not None else ()))


def _size_checks(box: Box, limits: Limits) -> list[tuple[str, int, int, str]]:
    """What is measured, how much it is and may be at most, and its unit."""
    longest, second, third = box.sides_mm
    if box.is_tube and (limits.tube_longest_mm or limits.tube_sum_mm):
        checks = [
            ("length", box.length_mm, limits.tube_longest_mm, "mm"),
            ("length and twice the diameter", box.length_mm + 2 * box.width_mm, limits.tube_sum_mm, "mm"),
        ]
    else:
        checks = [
            ("longest side", longest, limits.longest_mm, "mm"),
            ("sides together", longest + second + third, limits.sum_mm, "mm"),
        ]
    return [*checks, ("length and girth", longest + box.girth_mm, limits.length_and_girth_mm, "mm")]


def _face_faults(box: Box, limits: Limits) -> tuple[str, ...]:
    longest, second, _ = box.sides_mm
    least_long, least_short = limits.least_face_mm
    if not box.is_tube and (longest < least_long or second < least_short):
        return (f"face {longest} × {second} mm, at least {least_long} × {least_short} mm",)
    return ()


def charged_mass_g(box: Box | None, *, mass_g: int, limits: Limits) -> int:
    """
    The weight that is paid for: the greater of the scales' and that by size, which is rounded up.

    Parameters: box, None where the size is not known; then the scales decide.

    >>> charged_mass_g(Box(600, 450, 100), mass_g=2_000, limits=Limits("parcel", divisor_mm3_per_g=5_000))
    5400
    """
    if box is None or not limits.divisor_mm3_per_g or box.volume_mm3 <= limits.divisor_from_mm3:
        return mass_g
    return max(mass_g, -(-box.volume_mm3 // limits.divisor_mm3_per_g))
