"""Whether keys, secret and address of the card processor fit each other."""

import io
import time

import pytest
from django.core.management import CommandError, call_command

from campaign.models import OutboxMessage
from campaign.processor.setup import check_card_settings
from config.env import BadSetting, env_origin
from tests.builders import make_draft, place


@pytest.mark.parametrize(
    ("key", "secret", "https", "found"),
    [
        ("", "", False, []),
        ("", "", True, []),
        ("sk_test_invented", "", False, ["campaign.E001"]),
        ("", "whsec_invented", True, ["campaign.E001"]),
        ("sk_test_invented", "whsec_invented", False, []),
        ("rk_test_invented", "whsec_invented", False, []),
        ("sk_live_invented", "whsec_invented", False, ["campaign.E002"]),
        ("sk_live_invented", "whsec_invented", True, []),
        ("sk_test_invented", "whsec_invented", True, ["campaign.W001"]),
    ],
)
def test_keys_fit_the_address(settings, key, secret, https, found):
    settings.CARD_SECRET_KEY, settings.CARD_WEBHOOK_SECRET, settings.HTTPS = key, secret, https
    assert [message.id for message in check_card_settings()] == found


@pytest.mark.parametrize("text", ["https://pay.example.org", "http://127.0.0.1:4242", "https://pay.example.org/"])
def test_an_origin_is_taken(monkeypatch, text):
    monkeypatch.setenv("WALLFUL_CARD_CHECKOUT", text)
    assert env_origin("WALLFUL_CARD_CHECKOUT", "https://a.example") == text.rstrip("/")


@pytest.mark.parametrize(
    "text",
    ["pay.example.org", "ftp://a.example", "https://", "https://a.example/page", "https://a.example; script-src *",
     "https://a.example?x", "https://a b.example", "https://a.example:port", "https://me@a.example", "javascript:x"],
)  # fmt: skip
def test_anything_but_an_origin_stops_the_start(monkeypatch, text):
    monkeypatch.setenv("WALLFUL_CARD_CHECKOUT", text)
    with pytest.raises(BadSetting, match="WALLFUL_CARD_CHECKOUT"):
        env_origin("WALLFUL_CARD_CHECKOUT", "https://a.example")


def test_the_order_mail_leads_to_the_button(stand_in):
    place(make_draft(state="open"), way="card")
    mail = OutboxMessage.objects.get(name="pledge_placed")
    for part in (mail.text, mail.html):
        assert "Please pay €49.90 by card" in part
        assert "/m/" in part
        assert "Please bring" not in part


def said_by_card_check():
    out = io.StringIO()
    call_command("card_check", stdout=out)
    return out.getvalue()


def test_card_check_says_that_all_fits_and_changes_nothing(stand_in):
    stand_in.sessions["cs_1"] = {
        "id": "cs_1", "object": "checkout.session", "url": "https://pay.example.org/c/1", "created": int(time.time()),
        "expires_at": int(time.time()) + 3_600, "status": "open", "payment_intent": None,
    }  # fmt: skip
    said = said_by_card_check()
    assert "The key works; it is for tests. Payment pages opened in the last day: 1." in said
    assert "set WALLFUL_CARD_CHECKOUT to it" in said
    assert "http://127.0.0.1:8000/cards/messages" in said
    assert stand_in.kept == {} and len(stand_in.sessions) == 1


def test_card_check_names_a_wrong_key_and_a_processor_that_is_away(stand_in, settings):
    settings.CARD_SECRET_KEY = "sk_test_another"
    with pytest.raises(CommandError, match="refuses the key"):
        said_by_card_check()
    stand_in.fail_next("reset")
    with pytest.raises(CommandError, match="not reached"):
        said_by_card_check()
    settings.CARD_SECRET_KEY = settings.CARD_WEBHOOK_SECRET = ""
    with pytest.raises(CommandError, match="No keys are set"):
        said_by_card_check()
