"""manage.py demo: the invented show, loaded the way a real one would be, and served."""

from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from campaign.management.demonstration import SHOW_CODE, load_demonstration
from campaign.models import Show
from campaign.services.plans import refresh_staircase
from fulfilment.management.demonstration import add_packing, add_paper

USER, PASSWORD = "ada", "ebb-tide-at-four"  # printed; for the demonstration only


class Command(BaseCommand):
    """Everything that is there already stays as it is, so a second start is quick."""

    help = "Load the invented demonstration show and serve it with worker and beat inside."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="only load it")
        parser.add_argument("--port", type=int, default=8000, help="port to listen on (8000)")

    def handle(self, *args: Any, no_serve: bool, port: int, **options: Any) -> None:
        if not settings.LAPTOP:
            raise CommandError("The demonstration has a known password, so it runs with WALLFUL_DEBUG=1 only.")
        call_command("migrate", interactive=False, verbosity=0)
        now = timezone.now()
        folder = settings.DATA / "demonstration"
        if load_demonstration(folder=folder, now=now, say=self._say):
            self._say(f"Its folder, a template for your own: {folder}")
        self._make_sign_in()
        show = Show.objects.get(code=SHOW_CODE)
        refresh_staircase(show=show, now=now)
        add_paper(show=show, now=now)
        add_packing(show=show, now=now)
        self._say(f"Public page  http://127.0.0.1:{port}/")
        self._say(f"Studio       http://127.0.0.1:{port}/studio/   sign in as {USER} with {PASSWORD}")
        if not no_serve:
            call_command("serve", port=port)

    def _say(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def _make_sign_in(self) -> None:
        users = get_user_model()
        if not users.objects.filter(username=USER).exists():
            users.objects.create_user(USER, password=PASSWORD, is_staff=True)
