"""
Celery's worker and beat as threads of the serving process, for a site without Redis.

One process only: the memory broker is this process's own. Celery's time limits do not work in threads.
"""

import logging
import os
import signal
import threading
from typing import Any

from celery.beat import EmbeddedService
from celery.worker import WorkController
from django.conf import settings
from django.utils.module_loading import import_string

log = logging.getLogger(__name__)
PATIENCE_S = 10.0


def is_wanted() -> bool:
    """True while no broker is named: then nobody else would do the work."""
    return str(settings.CELERY_BROKER_URL).startswith("memory")


class EmbeddedWorker:
    """
    A worker of four threads (mail, papers, staircases, cards) and a beat.

    `start` returns at once, `stop` waits for what is being done.
    """

    def __init__(self) -> None:
        app = import_string(settings.WORKER_APPLICATION)
        self._is_stopping = False
        # Not app.Worker, which would take over standard output and the signals of the serving process.
        self._worker: Any = WorkController(
            app=app,
            pool="threads",
            concurrency=4,
            loglevel="WARNING",
            without_gossip=True,
            without_mingle=True,
            without_heartbeat=True,
        )
        self._thread = threading.Thread(target=self._run, name="worker", daemon=True)
        # Named here because the embedded beat, unlike the process, does not look into the settings.
        self._beat = EmbeddedService(app, thread=True, scheduler_cls=settings.CELERY_BEAT_SCHEDULER)

    def start(self) -> None:
        """Begin to work."""
        self._thread.start()
        self._beat.start()

    def stop(self) -> None:
        """Take no new work and wait for the current, ten seconds at most; the rest is in the database for next time."""
        self._is_stopping = True
        closing = threading.Thread(target=self._close, name="closing", daemon=True)
        closing.start()
        closing.join(PATIENCE_S)

    def _close(self) -> None:
        self._beat.stop()
        self._worker.stop()
        self._thread.join()

    def _run(self) -> None:
        try:
            self._worker.start()
        except Exception:
            log.exception("the worker thread has failed")
        if not self._is_stopping:
            # A site that takes orders and sends nothing is worse than one that is down and gets restarted.
            log.critical("the worker has ended by itself; the site stops")
            os.kill(os.getpid(), signal.SIGTERM)
