"""Whether keys, secret and address of the card processor fit each other."""

import pytest

from campaign.processor.setup import check_card_settings
from config.env import BadSetting, env_origin


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
