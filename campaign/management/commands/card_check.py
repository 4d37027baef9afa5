"""Asks the card processor whether keys, secret and address fit; changes nothing, there or here."""

from datetime import timedelta
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.urls import reverse
from django.utils import timezone

from campaign import processor
from campaign.errors import TemporaryFailure
from campaign.processor.setup import check_card_settings


class Command(BaseCommand):
    help = "Whether keys, webhook secret and address of the card processor fit. Changes nothing."

    def handle(self, *args: Any, **options: Any) -> None:
        if not settings.CARD_SECRET_KEY and not settings.CARD_WEBHOOK_SECRET:
            raise CommandError("No keys are set: WALLFUL_CARD_SECRET_KEY and WALLFUL_CARD_WEBHOOK_SECRET.")
        faults = check_card_settings()
        for fault in faults:
            self.stdout.write(f"{'Wrong' if fault.is_serious() else 'Beware'}: {fault.msg}")
        try:
            sessions = processor.list_sessions(since=timezone.now() - timedelta(days=1))
        except TemporaryFailure as failure:
            raise CommandError(f"The processor does not answer as it should: {failure}") from failure
        mode = "real money" if processor.is_live() else "tests"
        self.stdout.write(f"The key works; it is for {mode}. Payment pages opened in the last day: {len(sessions)}.")
        self._say_origin([session.url for session in sessions if session.url])
        if not settings.CARD_WEBHOOK_SECRET.startswith("whsec_"):
            self.stdout.write("Beware: WALLFUL_CARD_WEBHOOK_SECRET does not begin with whsec_; is it another value?")
        self.stdout.write(f"Let it send its messages to {settings.PUBLIC_URL}{reverse('campaign:card_messages')}")
        if any(fault.is_serious() for fault in faults):
            raise CommandError("Something is wrong; see above.")

    def _say_origin(self, urls: list[str]) -> None:
        origins = {"{0.scheme}://{0.netloc}".format(urlsplit(url)) for url in urls} - {settings.CARD_CHECKOUT}
        for origin in sorted(origins):
            self.stdout.write(f"Beware: payment pages are at {origin}; set WALLFUL_CARD_CHECKOUT to it.")
