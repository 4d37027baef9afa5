"""What belongs to no show yet: the studio's details and a new, empty show."""

import pytest
from django.urls import reverse

from campaign.models import Show, Studio
from tests.builders import make_draft, make_studio
from tests.campaign.views.studio_forms import filled, words_of

DETAILS, NEW = reverse("campaign:studio_details"), reverse("campaign:new_show")
TYPED = {
    "title": "Low water", "venue_name": "The Net Loft", "country": "DE", "time_zone": "europe/berlin",
    "currency": "eur",
    "opens_on": "2026-06-01", "closes_on": "2026-07-01", "hang_on": "2026-07-20", "opening_on": "2026-07-22",
    "opening_time": "18:30", "last_day_on": "2026-08-20", "posting_by_on": "2026-09-01", "printer_seconds": "30:00",
}  # fmt: skip


@pytest.mark.parametrize("url", [DETAILS, NEW])
def test_both_pages_are_the_artist_s_alone(client, ada, cleo, url):
    make_studio()
    for method in ("get", "post"):
        assert getattr(client, method)(url).status_code == 302
    client.force_login(cleo)
    for method in ("get", "post"):
        assert getattr(client, method)(url).status_code == 404
    client.force_login(ada)
    answer = client.get(url)
    assert answer.status_code == 200
    assert "no-store" in answer["Cache-Control"]
    assert client.put(url).status_code == 405


def send(client, url, **changes):
    return client.post(url, filled(client.get(url), **changes), follow=True)


def test_a_stranger_begins_with_the_studio_and_goes_on_to_a_show(ada_client):
    answer = ada_client.get(NEW, follow=True)
    assert answer.redirect_chain == [(DETAILS, 302)]
    answer = send(ada_client, DETAILS, artist_name="Ada Example", email="ada@example.org")
    assert answer.redirect_chain == [(NEW, 302)]
    answer = send(ada_client, NEW, **TYPED)
    assert answer.redirect_chain == [(reverse("campaign:measure", args=["low-water"]), 302)]
    show = Show.objects.get()
    assert (show.state, show.time_zone, show.currency) == ("draft", "Europe/Berlin", "EUR")
    assert show.opens_at.isoformat() == "2026-05-31T22:00:00+00:00"
    assert show.opening_at.isoformat() == "2026-07-22T16:30:00+00:00"
    assert show.cancel_until_on.isoformat() == "2026-07-01"


def test_every_room_of_an_empty_show_opens(ada_client):
    make_studio()
    send(ada_client, NEW, **TYPED)
    for name in ("standing", "measure", "walls", "works", "prices", "fund", "levels", "postage", "wall_prices"):
        assert (name, ada_client.get(reverse(f"campaign:{name}", args=["low-water"])).status_code) == (name, 200)
    assert ada_client.get(reverse("campaign:prints", args=["low-water"])).status_code == 200


def test_a_show_sent_twice_is_made_once(ada_client):
    make_studio()
    for _ in range(2):
        send(ada_client, NEW, **TYPED)
    assert Show.objects.count() == 1


def test_printer_time_is_asked_for_with_a_usual_one_in_the_field(ada_client):
    make_studio()
    assert ada_client.get(NEW).context["form"]["printer_seconds"].value() == "40:00"
    send(ada_client, NEW, **TYPED)
    assert Show.objects.get().printer_seconds == 30 * 3600


def test_the_pages_of_an_empty_show_say_what_comes_next(ada_client):
    make_studio()
    send(ada_client, NEW, **TYPED)
    code = Show.objects.get().code
    first = f'href="{reverse("campaign:new_wall", args=[code])}"'
    for page in (
        "campaign:standing", "campaign:missing", "campaign:what_if", "campaign:measure", "campaign:schedule",
        "campaign:wall_prices", "campaign:fund", "campaign:levels", "fulfilment:hang",
    ):  # fmt: skip
        text = ada_client.get(reverse(page, args=[code])).content.decode()
        assert first in text, page
        assert "€0.01" not in text, page


def test_a_new_show_begins_where_the_last_one_was(ada_client):
    make_draft()
    form = ada_client.get(NEW).context["form"]
    assert (form["venue_name"].value(), form["currency"].value()) == ("The Net Loft", "EUR")


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"time_zone": "Atlantis"}, "time_zone", "This is no time zone"),
        ({"currency": "XYZ"}, "currency", "currency code"),
        ({"country": ""}, "country", "required"),
        ({"closes_on": "2026-05-01"}, "closes_on", "Orders must close after they open."),
        ({"hang_on": "soon"}, "hang_on", "Found “soon”"),
        ({"opening_time": "evening"}, "opening_time", "valid time"),
        ({"opening_on": "2026-07-19"}, "__all__", "must follow each other"),
    ],
)
def test_a_show_that_cannot_be_is_refused(ada_client, changes, field, words):
    make_studio()
    answer = send(ada_client, NEW, **(TYPED | changes))
    assert words in answer.context["form"].errors[field][0]
    assert answer.context["form"]["title"].value() == "Low water"
    assert not Show.objects.exists()


def test_details_are_kept_tidied(ada_client):
    make_draft()
    for _ in range(2):
        answer = send(
            ada_client, DETAILS, artist_name="Ada Lovelight", iban="DE89 3704 0044 0532 0130 00", bic="cobadeff xxx",
            address=" Ada Lovelight \n\n Beispielgasse 3 ",
        )  # fmt: skip
    assert words_of(answer) == ["The studio’s details are kept."]
    studio = Studio.objects.get()
    assert (studio.artist_name, studio.iban, studio.bic) == ("Ada Lovelight", "DE89370400440532013000", "COBADEFFXXX")
    assert studio.address == "Ada Lovelight\nBeispielgasse 3"


@pytest.mark.parametrize(
    ("changes", "field", "words"),
    [
        ({"iban": "DE89370400440532013001"}, "iban", "check digits do not fit"),
        ({"bic": "12"}, "bic", "8 or 11"),
        ({"email": "ada"}, "email", "valid email"),
        ({"account_holder": ""}, "__all__", "holder"),
        ({"iban": "", "bic": "", "cheque_payee": "", "cash_note": ""}, "__all__", "one way of paying must stay"),
    ],
)
def test_details_that_would_lose_money_are_refused(ada_client, changes, field, words):
    make_draft(state="open")
    answer = send(ada_client, DETAILS, **changes)
    assert words in answer.context["form"].errors[field][0]
    assert Studio.objects.get().iban == "DE89370400440532013000"
