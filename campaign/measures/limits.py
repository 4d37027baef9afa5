"""
What a typed value is at most, wherever it is typed: in a form, a pasted table or a show folder.

Each is beyond anything that can be meant and within its column; SQLite would take more, PostgreSQL would not.
"""

from fractions import Fraction

from campaign.measures.errors import MeasureError

MOST_FIXED_MINOR = 1_000_000_000  # of a fee for one payment, of the step that prices are rounded to
MOST_MILLI = 1_000_000_000  # of a quantity: a million units
MOST_HOURLY_MILLI = MOST_MILLI // 60  # of a quantity in hours, which is kept in minutes
LONGEST_SECONDS = 10_000 * 3600


def whole_milli(value: Fraction, *, text: str, least_milli: int = 0) -> int:
    """
    A quantity as whole thousandths.

    Raises: MeasureError for more than three decimals, and outside `least_milli` to a million units.
    """
    milli = value * 1000
    above = "more than 0" if least_milli else "0 or more"
    expected = f"a number, {above}, with at most three decimals, such as 1.5"
    if milli > MOST_MILLI:
        raise MeasureError(text, "at most 1,000,000", reason="which is too large")
    if milli.denominator != 1 or milli < least_milli:
        raise MeasureError(text, expected)
    return int(milli)
