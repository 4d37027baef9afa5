"""An order is made ready before it waits; what changes meanwhile is seen, and its mail says its numbers."""

import uuid
from datetime import timedelta

import pytest

from campaign.errors import CampaignNotOpen, SumChanged
from campaign.models import Edition, OutboxMessage, Pledge, PledgeLine, Show
from campaign.models.rows import insert, made_of
from campaign.queries.basket import LineWish
from campaign.queries.order_ground import KeptGrounds, find_ground, show_as_read
from campaign.queries.order_terms import gift_terms_of, print_terms_of
from campaign.services.pledges import Order, place_pledge
from tests.builders import BERLIN_ADDRESS, LONDON_ADDRESS, NOW, OrderFactory, add_small_edition, make_draft, place


def place_on(terms, **changes):
    order = OrderFactory(**{"lines": (LineWish("harbour", 1),)} | changes)
    return place_pledge(show=terms.show, request_key=uuid.uuid4(), order=order, now=NOW, terms=terms)


def terms_of(show):
    return print_terms_of(find_ground(show.code), edition_code="", country="DE", now=NOW)


def test_the_mail_names_the_numbers_of_every_edition_and_no_blank(show):
    add_small_edition(show, copies=9)
    place(show, copies=2)
    friend = {"recipient_name": "Fay Friend", "address": LONDON_ADDRESS}
    lines = (LineWish("harbour", 1), LineWish("pocket", 2), LineWish("harbour", 1, **friend))
    place(show, lines=lines, address=BERLIN_ADDRESS)
    message = OutboxMessage.objects.order_by("pk").last()
    words = "copies 3 and 4 of 20 of “Harbour light” and copies 1 and 2 of 9 of “Pocket” are held for you"
    assert words in message.text
    assert words in message.html
    assert all(len(word) < 17 for word in message.text.split() if word.isdigit())


def test_numbers_with_a_gap_are_named_as_they_are(show):
    show.editions.get().copies.filter(number__in=[1, 3]).update(is_packed=True)
    place(show, copies=2)
    assert "copies 2 and 4 of 20 are held" in OutboxMessage.objects.get().text


def test_a_price_that_changes_after_the_form_was_read_asks_again(show):
    terms = terms_of(show)
    Edition.objects.update(price_minor=5_000)
    with pytest.raises(SumChanged):
        place_on(terms, agreed_total_minor=4_990)
    assert not Pledge.objects.exists()
    assert place_on(terms).prints_minor == 5_000


def test_other_words_after_the_form_was_read_stand_in_the_mail(show):
    terms = terms_of(show)
    Edition.objects.update(title="Harbour dusk")
    Show.objects.update(posting_by_on=show.posting_by_on + timedelta(days=3))
    pledge = place_on(terms)
    assert "“Harbour dusk”" in OutboxMessage.objects.get().text
    assert pledge.posting_by_on == show.posting_by_on + timedelta(days=3)


@pytest.mark.parametrize("lines", [(LineWish("harbour", 1),), ()])
def test_a_close_after_the_form_was_read_takes_no_order_and_no_gift(show, lines):
    terms = terms_of(show) if lines else gift_terms_of(find_ground(show.code), now=NOW)
    Show.objects.update(state=Show.State.CLOSED, closed_at=NOW)
    with pytest.raises(CampaignNotOpen):
        place_on(terms, lines=lines, gift_minor=500)
    assert not Pledge.objects.exists()


def test_a_ground_is_kept_for_its_seconds_and_then_read_anew(show, monkeypatch):
    moment = [100.0]
    monkeypatch.setattr("campaign.queries.order_ground.time.monotonic", lambda: moment[0])
    kept = KeptGrounds()
    kept.seconds = 1.0
    first = kept.find(show.code)
    Edition.objects.update(price_minor=5_000)
    assert kept.find(show.code) is first
    moment[0] += 1.1
    assert kept.find(show.code).editions[0].price_minor == 5_000


def test_nothing_is_kept_unless_it_is_asked_for(show):
    kept = KeptGrounds()
    assert kept.find(show.code) is not kept.find(show.code)
    assert kept.find("nowhere") is None


def test_a_show_that_is_being_prepared_has_no_ground_for_visitors(db):
    assert find_ground(make_draft().code) is None


def test_a_ground_has_the_rows_as_they_are(show):
    add_small_edition(show, sold_from_at=NOW)
    show.cautions = ["Mind the step"]
    show.save()
    ground = find_ground(show.code)
    for found, row in ((ground.show, Show.objects.get()), *zip(ground.editions, Edition.objects.all(), strict=True)):
        for field in row._meta.concrete_fields:
            assert getattr(found, field.attname) == getattr(row, field.attname), field.name
        assert not found._state.adding


def test_a_row_is_written_as_the_models_own_save_does(show):
    pledge = place(show, address=LONDON_ADDRESS)
    line = pledge.lines.get()
    copy = PledgeLine(pledge=pledge, edition=line.edition, copies=2, prints_minor=9_000, address=LONDON_ADDRESS)
    insert(copy)
    assert PledgeLine.objects.get(pk=copy.pk).address == LONDON_ADDRESS
    assert (copy._state.adding, copy.pk > line.pk) == (False, True)


def test_the_values_of_a_row_make_the_row(show):
    show.cautions = ["Mind the step"]
    show.save()
    assert made_of(Show, show_as_read(show)).cautions == ["Mind the step"]


def test_an_order_of_no_copies_of_a_print_cannot_be_said():
    with pytest.raises(ValueError, match="one copy or more"):
        Order(name="Bea", email="b@example.org", way="transfer", lines=(LineWish("harbour", 0),))
