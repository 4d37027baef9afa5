"""First fit of many choices side by side; what it does not hang may hang in another way."""

import numpy as np

from campaign.planning.arrays import BoolArray, IntArray
from campaign.planning.placing.ties import Ties


class FrameTables:
    """
    The frames of all options as numbers, so that many choices are hung side by side.

    A frame's number is its class of height, then its width; nothing, the last option of every work, is 0.
    """

    def __init__(self, ties: Ties) -> None:
        pieces = ties.ground.pieces
        self.gaps = [piece.gap_mm for piece in pieces]
        self.room = np.array([piece.length_mm - piece.gap_mm for piece in pieces], dtype=np.int64)
        # In the order in which the pieces are tried; no piece takes the class beyond the last.
        self.order = ties.ground.by_class[0]
        self.takes = np.array([[p in places for p in range(len(pieces))] for places in ties.ground.by_class])
        self.widest = 1 + max((-width for of_work in ties.frames for _, width in of_work), default=0)
        options = 1 + max((len(of_work) for of_work in ties.frames), default=0)
        self.numbers = np.zeros((len(ties.frames), options), dtype=np.int64)
        for work, of_work in enumerate(ties.frames):
            self.numbers[work, : len(of_work)] = [-kind * self.widest - width for kind, width in of_work]
        self.pinned = sorted(ties.pins)
        self.groups = [list(group) for group in (*ties.apart, *ties.together)]

    def fit_first(self, choices: IntArray) -> BoolArray:
        """
        Whether each of the choices (N, n) hangs with every frame on the first piece that has room for it.

        The same frames in the same order as when they are tried one choice after the other; False where a work that
        hangs is pinned or tied to another.
        """
        hung = choices >= 0
        fits = ~hung[:, self.pinned].any(axis=1)
        for group in self.groups:
            fits &= hung[:, group].sum(axis=1) < 2
        numbers = -np.sort(-self.numbers[np.arange(len(self.numbers)), choices], axis=1)
        free = np.tile(self.room, (len(choices), 1))
        for column in numbers[:, : int(hung.sum(axis=1).max(initial=0))].T:
            kinds, widths = np.divmod(column, self.widest)
            waits = column > 0
            for place in self.order:
                here = waits & self.takes[kinds, place] & (widths + self.gaps[place] <= free[:, place])
                free[:, place] -= np.where(here, widths + self.gaps[place], 0)
                waits &= ~here
            fits &= ~waits
        return np.asarray(fits)
