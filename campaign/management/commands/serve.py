"""manage.py serve: the site on one machine, with worker and beat inside unless a broker is named."""

import logging
import os
import signal
import sys
from types import FrameType
from typing import Any

import waitress
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.core.servers.basehttp import get_internal_wsgi_application

from campaign.management.embedded import EmbeddedWorker, is_wanted

THREADS = 8
HERE = ("127.0.0.1", "localhost", "::1")


class Command(BaseCommand):
    """Serve until Ctrl-C or SIGTERM; both end in order."""

    help = "Serve the site, with worker and beat as threads of this process unless WALLFUL_REDIS_URL is set."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--port", type=int, default=8000, help="port to listen on (8000)")
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on (127.0.0.1: this machine only)")

    def handle(self, *args: Any, port: int, host: str, **options: Any) -> None:
        if settings.LAPTOP and host not in HERE:
            raise CommandError(
                "With WALLFUL_DEBUG=1 the site’s secret is known to everybody, so it listens on this machine only. "
                "Set WALLFUL_DEBUG=0 and WALLFUL_SECRET_KEY, or leave --host out."
            )
        if settings.PUBLIC_URL.startswith("http://127.0.0.1:"):
            settings.PUBLIC_URL = f"http://127.0.0.1:{port}"  # on a laptop the links in mails follow the port
        if not settings.LAPTOP:
            call_command("collectstatic", interactive=False, verbosity=0)
        logging.getLogger("waitress.queue").setLevel(logging.ERROR)  # a short queue is no news
        try:
            server = waitress.create_server(
                get_internal_wsgi_application(), host=host, port=port, threads=THREADS, ident=None, **_proxy_options()
            )
        except OSError as error:
            raise CommandError(
                f"Cannot listen on {host}:{port} ({error.strerror}). Stop what listens there or choose --port."
            ) from error
        signal.signal(signal.SIGTERM, _stop)
        worker = EmbeddedWorker() if is_wanted() else None
        if worker:
            worker.start()
        self.stdout.write(f"Serving {settings.PUBLIC_URL}/ and the studio {settings.PUBLIC_URL}/studio/ (stop: Ctrl-C)")
        self.stdout.flush()
        server.run()  # returns on SystemExit and KeyboardInterrupt, once requests under way are answered
        if worker:
            worker.stop()
        self.stdout.flush()
        # A task that is still at work would keep the interpreter waiting; its lease brings it back at the next start.
        os._exit(0)


def _stop(number: int, frame: FrameType | None) -> None:
    sys.exit(0)


def _proxy_options() -> dict[str, Any]:
    """Behind a proxy that sets them, the visitor's address and scheme are taken from its headers; else never."""
    if not settings.SECURE_PROXY_SSL_HEADER:
        return {}
    return {"trusted_proxy": "*", "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"}}
