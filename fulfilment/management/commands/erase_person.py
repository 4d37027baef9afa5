"""manage.py erase_person ADDRESS: remove who somebody was; sums, numbers and the cash book stay."""

from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils import timezone

from campaign.errors import Refusal
from fulfilment.services.people import erase_person


class Command(BaseCommand):
    """Refused while an order still needs its person."""

    help = "Remove name, addresses and words of the person behind an e-mail address."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("email")

    def handle(self, *args: Any, email: str, **options: Any) -> None:
        try:
            erased = erase_person(email=email, reason="asked by the person", now=timezone.now())
        except Refusal as refusal:
            raise CommandError(refusal.sentence) from refusal
        if not (erased.orders or erased.mails or erased.waiting):
            self.stdout.write("Nothing is kept about this address.")
            return
        self.stdout.write(
            f"Removed from {erased.orders} orders, {erased.mails} mails and {erased.waiting} places in waiting lists. "
            "Sums, numbers and the cash book stay. Older backups still hold the person until they are deleted; "
            "a restore removes them again."
        )
