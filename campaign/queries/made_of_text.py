"""What was made of the last texts that were read, by the text itself: page after page reads the same one."""

from collections.abc import Callable
from threading import Lock
from typing import Generic, TypeVar

Made = TypeVar("Made")


class MadeOfText(Generic[Made]):
    """
    `make`, which remembers its last answers; whoever wrote a text puts in what he made it of.

    Parameters: make, from a text to a value that nobody changes; most, how many are remembered.
    """

    def __init__(self, make: Callable[[str], Made], *, most: int) -> None:
        self._make, self._most = make, most
        self._kept: dict[str, Made] = {}
        self._lock = Lock()  # threads of one web process

    def __call__(self, text: str) -> Made:
        """What the text says."""
        with self._lock:
            if text in self._kept:
                self._kept[text] = made = self._kept.pop(text)  # the longest unread goes first
                return made
        made = self._make(text)
        self.keep(text, made)
        return made

    def keep(self, text: str, made: Made) -> None:
        """Remember what the text says."""
        with self._lock:
            self._kept[text] = made
            while len(self._kept) > self._most:
                del self._kept[next(iter(self._kept))]
