"""What a postal service takes: sides, girth, weight, and the weight by size; whole millimetres and grams."""

from dataclasses import dataclass

from campaign.measures.lengths import format_length, format_size


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


def say_length(mm: int, *, unit: str) -> str:
    """
    A length as the sentences of this package have it.

    >>> say_length(1060, unit="mm"), say_length(1060, unit="cm")
    ('1,060 mm', '106 cm')
    """
    return f"{mm:,} mm" if unit == "mm" else format_length(mm, unit=unit)


def say_size(width_mm: int, height_mm: int, *, unit: str) -> str:
    """The same of two sides: 297 × 210 mm."""
    return format_size(width_mm, height_mm, unit=unit)


def limit_faults(box: Box | None, *, mass_g: int, limits: Limits, unit: str = "mm") -> tuple[str, ...]:
    """
    Why a service does not take a parcel: one sentence for each limit that is passed, empty where it takes it.

    Parameters: box, None where the size is not known; then the weight alone is looked at; unit, that of lengths in
        the sentences.

    >>> limit_faults(Box(440, 610, 10), mass_g=900, limits=LETTER_POST)
    ('longest side 610 mm, at most 600 mm', 'sides together 1,060 mm, at most 900 mm')
    >>> limit_faults(Box(900, 70, 70, is_tube=True), mass_g=900, limits=LETTER_POST)
    ()
    """
    faults = [f"weight {mass_g:,} g, at most {limits.mass_g:,} g"] if 0 < limits.mass_g < mass_g else []
    if box is None:
        return tuple(faults)
    for what, is_, most in _size_checks(box, limits):
        if 0 < most < is_:
            faults.append(f"{what} {say_length(is_, unit=unit)}, at most {say_length(most, unit=unit)}")
    longest, second, _ = box.sides_mm
    least_long, least_short = limits.least_face_mm
    if not box.is_tube and (longest < least_long or second < least_short):
        faults.append(
            f"face {say_size(longest, second, unit=unit)}, at least {say_size(*limits.least_face_mm, unit=unit)}"
        )
    return tuple(faults)


def _size_checks(box: Box, limits: Limits) -> list[tuple[str, int, int]]:
    """What is measured, how much it is and may be at most."""
    longest, second, third = box.sides_mm
    if box.is_tube and (limits.tube_longest_mm or limits.tube_sum_mm):
        checks = [
            ("length", box.length_mm, limits.tube_longest_mm),
            ("length and twice the diameter", box.length_mm + 2 * box.width_mm, limits.tube_sum_mm),
        ]
    else:
        checks = [
            ("longest side", longest, limits.longest_mm),
            ("sides together", longest + second + third, limits.sum_mm),
        ]
    return [*checks, ("length and girth", longest + box.girth_mm, limits.length_and_girth_mm)]


# A thousand tonnes: what somebody who mistyped sides or divisor gets at most, so that it still fits into a row.
MOST_BY_SIZE_G = 1_000_000_000


def charged_mass_g(box: Box | None, *, mass_g: int, limits: Limits) -> int:
    """
    The weight that is paid for: the greater of the scales' and that by size, which is rounded up.

    Parameters: box, None where the size is not known; then the scales decide.

    >>> charged_mass_g(Box(600, 450, 100), mass_g=2_000, limits=Limits("parcel", divisor_mm3_per_g=5_000))
    5400
    """
    if box is None or not limits.divisor_mm3_per_g or box.volume_mm3 <= limits.divisor_from_mm3:
        return mass_g
    by_size_g = -(-box.volume_mm3 // limits.divisor_mm3_per_g)
    return max(mass_g, min(by_size_g, MOST_BY_SIZE_G))
