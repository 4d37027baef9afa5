"""
Named points at which a process dies, as from kill -9, while it does what `tests.faults.life` does.

The site knows nothing of them: Python's own profiling hook, which debuggers use, watches for a function being entered
or left and then kills the process. Nothing is replaced, so what runs up to that moment is what always runs.
"""

import importlib
import inspect
import os
import signal
import sys
from dataclasses import dataclass
from types import CodeType, FrameType
from typing import Any


@dataclass(frozen=True, slots=True)
class Point:
    """Die when `function` ("package.module:name") is entered or left ("enter", "leave") in a stage of the life."""

    stage: str
    function: str
    moment: str
    count: int = 1  # of such moments in that stage


POINTS = {
    "order written, not committed": Point("orders", "campaign.outbox:write", "enter"),
    "order committed, not answered": Point("orders", "campaign.services.pledges:place_pledge", "leave"),
    "payment booked, copies not settled": Point("payments", "campaign.services.copies:settle_copies", "enter"),
    "bank line booked, not committed": Point("bank", "campaign.services.payments:book_payment", "leave"),
    "cancelled, money not owed yet": Point("cancelling", "campaign.services.owing:owe_rest", "enter"),
    "refund booked, mail not written": Point("cancelling", "campaign.mail:refund_made", "enter"),
    "copy came back, its offer not written": Point("coming back", "campaign.mail:copies_offered", "enter"),
    "lapsed, copies not free": Point("lapsing", "campaign.services.copies:give_back_copies", "enter"),
    "mail claimed, not sent": Point("mails", "campaign.outbox:claim", "leave"),
    "mail taken by the server, row not moved on": Point("mails", "campaign.outbox:_send", "leave", 3),
    "news frozen for its readers, not committed": Point("news", "campaign.outbox:enqueue_all", "leave"),
    "between two mails of a batch": Point("batch", "campaign.outbox:_deliver", "leave", 2),
    "backup copied, manifest not written": Point("backup", "campaign.backup:_copy", "leave"),
    "closed, plan not fixed": Point("closing", "campaign.planning.plan:plan_at", "enter"),
    "parcels numbered, not committed": Point("papers", "fulfilment.services.papers:_number_parcels", "leave"),
    "papers' job claimed, nothing done": Point("papers", "fulfilment.services.paper_jobs:_claim", "leave"),
    "papers made, not kept": Point("papers", "fulfilment.services.paper_jobs:_keep_papers", "enter"),
}


class Watch:
    """Kills this process at `point`; the life says which stage it enters."""

    def __init__(self, point: Point) -> None:
        self._point, self._left = point, point.count
        module, name = point.function.split(":")
        # What transaction.atomic wraps: left while the transaction is still open.
        self._code: CodeType = inspect.unwrap(getattr(importlib.import_module(module), name)).__code__
        self._event = {"enter": "call", "leave": "return"}[point.moment]

    def enter(self, stage: str) -> None:
        """Look from now on, or look away: the hook is called for every function, and slows them all."""
        sys.setprofile(self._look if stage == self._point.stage else None)

    def _look(self, frame: FrameType, event: str, argument: Any) -> None:
        if event != self._event or frame.f_code is not self._code:
            return
        self._left -= 1
        if self._left == 0:
            os.kill(os.getpid(), signal.SIGKILL)
