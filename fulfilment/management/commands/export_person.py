"""manage.py export_person ADDRESS: all that is kept about one person, as JSON."""

import json
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from fulfilment.services.people import read_person


class Command(BaseCommand):
    """To standard output, for a person who asks what is known of them."""

    help = "Everything kept about the person behind an e-mail address, as JSON."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("email")

    def handle(self, *args: Any, email: str, **options: Any) -> None:
        self.stdout.write(json.dumps(read_person(email), indent=2, ensure_ascii=False))
