"""manage.py account NAME: let somebody into the studio, change what they may do, or let them in no more."""

from typing import Any

from django.contrib.auth import get_user_model
from django.core.management.base import BaseCommand, CommandError, CommandParser

from campaign.errors import Refusal
from campaign.services.accounts import ARTIST, HELPER, forget_factor, give_account, take_account


class Command(BaseCommand):
    """On the machine itself: whoever can run this can read the database anyway."""

    help = "Give an account (role artist, or helper: prints and packs, sees no money), or take it away."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="the name to sign in with")
        parser.add_argument("--role", choices=[ARTIST, HELPER], help="what they may do; a new password is printed")
        parser.add_argument("--off", action="store_true", help="let nobody in under this name any more")
        parser.add_argument(
            "--no-second-factor", action="store_true", help="the telephone and the spare codes are lost"
        )

    def handle(
        self, *args: Any, name: str, role: str | None, off: bool, no_second_factor: bool, **options: Any
    ) -> None:
        if no_second_factor:
            user = get_user_model().objects.filter(username=name).first()
            had = forget_factor(user=user) if user else 0
            self.stdout.write("The second factor is off." if had else "There was no second factor under this name.")
        elif off:
            self.stdout.write("Switched off." if take_account(name=name) else "There is no account of this name.")
        elif role:
            try:
                password = give_account(name=name, role=role)
            except Refusal as refusal:
                raise CommandError(refusal.sentence) from refusal
            self.stdout.write(f"{name} signs in as {role} with the password {password}")
        else:
            raise CommandError("Say what is to be done: --role artist, --role helper, --off or --no-second-factor.")
