"""Numbers that look like chance and are always the same ones: the same prints are laid the same way again."""

_MASK = (1 << 64) - 1


class FixedNumbers:
    """
    A fixed sequence of numbers, by its start.

    Source: SplitMix64 as published by G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators"
    (OOPSLA 2014); checked in tests/outside/test_splitmix.py.
    """

    __slots__ = ("_state",)

    def __init__(self, start: int = 0) -> None:
        self._state = start & _MASK

    def word(self) -> int:
        """The next 64 bits."""
        self._state = (self._state + 0x9E3779B97F4A7C15) & _MASK
        mixed = self._state
        mixed = ((mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9) & _MASK
        mixed = ((mixed ^ (mixed >> 27)) * 0x94D049BB133111EB) & _MASK
        return mixed ^ (mixed >> 31)

    def below(self, count: int) -> int:
        """The next number out of 0 … count − 1."""
        return (self.word() * count) >> 64
