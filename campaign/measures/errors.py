"""The one refusal of this package: what was found and what would do, in one plain sentence."""

SHOWN_CHARACTERS = 60


class MeasureError(ValueError):
    """
    Text that cannot be read as the measure asked for.

    Attributes: found, the text as it was given (clipped to 60 characters);
        expected, what would do, worded to follow "write".
    The message is one sentence that may be shown to the person who typed the text.

    >>> str(MeasureError("abc", "a length such as 60 cm"))
    'Found “abc”; write a length such as 60 cm.'
    >>> str(MeasureError("-3", "a length such as 60 cm", reason="which is less than nothing"))
    'Found “-3”, which is less than nothing; write a length such as 60 cm.'
    """

    def __init__(self, found: str, expected: str, *, reason: str = "") -> None:
        shown = " ".join(found.split())
        if len(shown) > SHOWN_CHARACTERS:
            shown = shown[: SHOWN_CHARACTERS - 1] + "…"
        self.found = shown
        self.expected = expected
        what = f"“{shown}”" if shown else "nothing"
        why = f", {reason}" if reason else ""
        super().__init__(f"Found {what}{why}; write {expected}.")
