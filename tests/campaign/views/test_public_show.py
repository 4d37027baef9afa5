"""The page of a show: what everybody may read, in every state a campaign goes through."""

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client

from campaign.models import Copy, Show, StaircaseRun, Update
from campaign.services.campaigns import close_campaign
from tests.builders import NOW, make_draft, make_show, pay, place

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock")]
URL = "/show/tideline/"


def page_of(client: Any, url: str = URL) -> str:
    response = client.get(url)
    assert response.status_code == 200
    return response.content.decode()


def test_page_may_be_cached_and_sets_no_cookie(client: Any, show: Show) -> None:
    response = client.get(URL)
    assert response.headers["Cache-Control"] == "public, max-age=30, stale-while-revalidate=60"
    assert not response.cookies
    assert "Cookie" not in response.headers.get("Vary", "")


def test_page_is_the_same_for_a_signed_in_artist(ada_client: Any, show: Show) -> None:
    response = ada_client.get(URL)
    assert "Cookie" not in response.headers.get("Vary", "")
    assert response.content == Client().get(URL).content


def test_page_carries_no_token_and_no_script(client: Any, show: Show) -> None:
    html = page_of(client)
    assert "csrfmiddlewaretoken" not in html
    assert "<script" not in html and "style=" not in html


def test_page_takes_at_most_14_queries(client: Any, show: Show, django_assert_max_num_queries: Any) -> None:
    for number in range(6):
        pay(place(show, is_thanked_by_name=True, name=f"Backer {number}"))
    with django_assert_max_num_queries(14):
        page_of(client)


def test_closed_page_takes_at_most_15_queries(client: Any, show: Show, django_assert_max_num_queries: Any) -> None:
    pay(place(show, copies=3))
    close_campaign(show=show, now=NOW)
    with django_assert_max_num_queries(15):
        page_of(client)


def test_draft_is_not_there(client: Any) -> None:
    make_draft()
    assert client.get(URL).status_code == 404


def test_unknown_show_is_not_there(client: Any, show: Show) -> None:
    assert client.get("/show/elsewhere/").status_code == 404


def test_page_cannot_be_posted_to(client: Any, show: Show) -> None:
    assert client.post(URL).status_code == 405


def test_nothing_hangs_without_money(client: Any, show: Show) -> None:
    html = page_of(client)
    assert "Nothing hangs yet. €100.00 more wall money reaches “A corner”." in html
    assert 'class="el-frame"' in html.split('class="key"')[1]  # only the key shows a frame
    assert 'class="el-frame"' not in html.split('class="key"')[0]
    assert 'class="el-pencil"' in html.split('class="key"')[0]


def test_paid_orders_hang_works_and_open_ones_are_told_apart(client: Any, show: Show) -> None:
    for _ in range(3):
        pay(place(show))
    place(show, copies=3)
    html = page_of(client)
    assert "once every open order is paid" in html
    assert 'class="el-frame"' in html.split('class="key"')[0]
    assert 'class="th-pencil"' in html


def test_money_in_hand_fills_the_thermometer_and_reaches_a_level(client: Any, show: Show) -> None:
    assert "reached" not in page_of(client)
    for _ in range(3):
        pay(place(show))
    assert '<li class="reached"><span class="n">€100.00</span>' in page_of(client)


def test_unpaid_orders_alone_hang_nothing(client: Any, show: Show) -> None:
    place(show, copies=3)
    html = page_of(client)
    assert "Nothing hangs yet;" in html
    assert 'class="el-frame"' not in html.split('class="key"')[0]


def test_every_work_is_listed_in_the_drawings_order(client: Any, show: Show) -> None:
    html = page_of(client)
    titles = [work.title for work in show.works.all()]
    places = [html.index(f"<cite>{title}</cite>") for title in titles]
    assert places == sorted(places)


def test_print_says_what_it_is_and_what_is_left(client: Any, show: Show) -> None:
    place(show, copies=2)
    html = page_of(client)
    assert "Cotton paper 310 g, 29.7 × 21 cm" in html
    assert "<dd>18 of 20</dd>" in html
    assert "€45.00" in html and "31 July 2026" in html
    assert "1 April 2026, 23:59 CEST" in html  # 21:59 UTC, in the show's zone


def test_postage_is_listed_by_zone_and_step(client: Any, show: Show) -> None:
    table = page_of(client).split('<caption id="postage">')[1].split("</table>")[0]
    zones = table.split("<tbody>")[1:]
    assert [zone.count('class="n"') for zone in zones] == [1, 2, 1]
    assert '1 print</td><td class="n">€8.90' in zones[1] and 'up to 3 prints</td><td class="n">€11.90' in zones[1]
    assert "everywhere else" in zones[2]


def test_sold_out_print_can_still_be_given_for(client: Any, show: Show) -> None:
    while Copy.objects.filter(state=Copy.State.FREE).exists():
        place(show, copies=1)
    html = page_of(client)
    assert "Order the print" not in html
    assert "?what=gift" in html


@pytest.mark.parametrize("paid", [True, False])
def test_names_stand_there_only_when_asked_for_and_paid(client: Any, show: Show, paid: bool) -> None:
    wanted = place(show, name="Mira Sample", is_thanked_by_name=True)
    silent = place(show, name="Quiet Sample")
    pay(silent)
    if paid:
        pay(wanted)
    html = page_of(client)
    assert ("Mira Sample" in html) is paid
    assert "Quiet Sample" not in html


def test_no_backers_address_or_mail_is_on_the_page(client: Any, show: Show) -> None:
    pay(place(show, email="mira@example.org", is_thanked_by_name=True))
    html = page_of(client)
    assert "mira@example.org" not in html and "Musterweg" not in html


def test_page_before_the_opening_says_when_orders_start(client: Any) -> None:
    make_show(opens_at=NOW + timedelta(days=2))
    html = page_of(client)
    assert "The walls are still empty. Orders are taken from 12 March 2026, 13:00 on." in html
    assert "Order the print" not in html


def test_page_after_the_closing_moment_takes_no_orders(client: Any, clock: Any) -> None:
    make_show()
    clock.move_to(NOW + timedelta(days=30))
    html = page_of(client)
    assert "Orders are closed." in html
    assert "Order the print" not in html


def test_closed_campaign_shows_the_fixed_plan_without_pencil(client: Any, show: Show) -> None:
    pay(place(show, copies=3))
    close_campaign(show=show, now=NOW)
    place_count = len(Show.objects.get().fixed_plan.plan["works"])
    html = page_of(client)
    assert place_count > 0
    assert "Orders are closed, and the prints are being made." in html
    assert 'class="el-pencil"' not in html
    assert html.split('class="key"')[0].count('class="el-frame"') == place_count


def test_printed_campaign_says_that_prints_are_on_their_way(client: Any, show: Show) -> None:
    pay(place(show, copies=3))
    close_campaign(show=show, now=NOW)
    Show.objects.update(state=Show.State.PRINTED)
    assert "The prints are made and are on their way." in page_of(client)


def test_page_stands_before_the_first_staircase(client: Any, show: Show) -> None:
    StaircaseRun.objects.all().delete()
    assert "The walls are being worked out." in page_of(client)


def test_typed_words_never_become_markup(client: Any) -> None:
    make_show(title="<script>alert(1)</script>", statement="<img src=x onerror=alert(1)> *soft*")
    html = page_of(client)
    assert "<script>" not in html and "<img src=x" not in html
    assert "<em>soft</em>" in html


def test_cautions_say_what_is_owed_back_and_that_places_differ(client: Any, show: Show) -> None:
    Show.objects.update(cautions=["Mind the step."])
    html = page_of(client)
    assert "money for undelivered prints is owed back in full" in html
    assert "not legal advice; rules differ by place" in html
    assert "Mind the step." in html


def test_page_tells_other_sites_what_it_is(client: Any, show: Show) -> None:
    html = page_of(client)
    assert '<meta property="og:title" content="Tideline, Ada Example">' in html
    assert '<link rel="canonical" href="http://127.0.0.1:8000/show/tideline/">' in html
    assert 'itemprop="price" content="45.00"' in html


def test_front_door_leads_to_the_show(client: Any, show: Show) -> None:
    response = client.get("/")
    assert response.status_code == 302 and response.url == URL


def test_front_door_without_a_show_says_so(client: Any) -> None:
    assert "Nothing is on show" in page_of(client, "/")


def make_update(show: Show, *, published: bool) -> Update:
    return Update.objects.create(
        show=show, title="Proofs are dry", body="It is *done*.", written_at=NOW, published_at=NOW if published else None
    )


def test_published_update_is_linked_and_may_be_cached(client: Any, show: Show) -> None:
    update = make_update(show, published=True)
    url = f"/show/tideline/updates/{update.code}/"
    assert url in page_of(client)
    response = client.get(url)
    assert "<em>done</em>" in response.content.decode()
    assert response.headers["Cache-Control"].startswith("public") and not response.cookies


def test_an_address_with_a_zero_byte_is_not_there_on_any_database(client: Any, show: Show) -> None:
    assert client.get(f"{URL}updates/a%00b/").status_code == 404


def test_update_that_is_being_written_is_not_there(client: Any, show: Show) -> None:
    update = make_update(show, published=False)
    assert "Proofs are dry" not in page_of(client)
    assert client.get(f"/show/tideline/updates/{update.code}/").status_code == 404
