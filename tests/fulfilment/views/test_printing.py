import uuid

import pytest
from django.urls import reverse

from campaign.models import Job, Show
from fulfilment.models import Impression
from fulfilment.services.copy_events import spoil_copies
from tests.builders import place
from tests.fulfilment.packed import TUBE, set_up_packing
from tests.fulfilment.scene import LATER, close, edition_of, end, order, printed_show, work

pytestmark = pytest.mark.usefixtures("engine")


def room(show):
    return reverse("fulfilment:print", args=[show.code])


def mark(client, show, **data):
    return client.post(reverse("fulfilment:mark_copies", args=[show.code, "harbour"]), data, follow=True)


def printed():
    return list(Impression.objects.order_by("copy__number").values_list("copy__number", flat=True))


def test_the_room_lists_who_has_which_copy(ada_client, show):
    pledge = order(show, name="Erika <b>Beispiel</b>", copies=2)
    place(show)
    page = ada_client.get(room(show)).content.decode()
    assert "Erika &lt;b&gt;Beispiel&lt;/b&gt;" in page
    assert pledge.code in page
    assert "2 spoken for, 0 printed, 0 signed, 0 sheets spoiled; 1 more held by orders not paid yet" in page


def test_ticked_and_written_numbers_are_marked_together(ada_client, show):
    for _ in range(2):
        order(show, copies=3)
    page = mark(ada_client, show, **{"harbour-ticked": ["6"], "harbour-numbers": "1-3"})
    assert printed() == [1, 2, 3, 6]
    assert "4 copies marked as printed." in page.content.decode()


def test_marking_the_same_copies_twice_is_one_act(ada_client, show):
    order(show, copies=3)
    mark(ada_client, show, **{"harbour-numbers": "1-3"})
    page = mark(ada_client, show, **{"harbour-numbers": "1-3"})
    assert printed() == [1, 2, 3]
    assert "0 copies marked as printed." in page.content.decode()


def test_a_mark_is_taken_back(ada_client, show):
    order(show, copies=3)
    mark(ada_client, show, **{"harbour-numbers": "1-3"})
    page = mark(ada_client, show, **{"harbour-ticked": ["2"], "back": "1"})
    assert printed() == [1, 3]
    assert "1 copy back to be printed." in page.content.decode()


@pytest.mark.parametrize(
    ("numbers", "sentence"),
    [
        ("2-1", "“2-1” runs backwards; write it as 1-2."),
        ("21", "“21”: the edition has copies 1 to 20."),
        ("", "Tick the copies or write their numbers, like 1-12, 15."),
        ("1-4", "Copy 4 is not spoken for, so nothing was marked."),
    ],
)
def test_bad_numbers_get_a_sentence_at_the_field_and_stay_as_typed(ada_client, show, numbers, sentence):
    order(show, copies=3)
    page = mark(ada_client, show, **{"harbour-numbers": numbers}).content.decode()
    assert page.count(sentence) == 2, "in the summary and at the field"
    assert f'value="{numbers}"' in page or not numbers
    assert 'href="#id_harbour-numbers"' in page
    assert printed() == []


def test_an_edition_of_another_show_is_not_found(ada_client, show):
    address = reverse("fulfilment:mark_copies", args=[show.code, "other"])
    assert ada_client.post(address, {"other-numbers": "1"}).status_code == 404


def test_the_end_is_offered_once_all_is_printed_and_asked_about_first(ada_client, show):
    printed_show(show, orders=2)
    address = reverse("fulfilment:end_printing", args=[show.code])
    assert address in ada_client.get(room(show)).content.decode()
    assert "End printing?" in ada_client.get(address).content.decode()
    assert not Job.objects.exists()
    response = ada_client.post(address)
    job = Job.objects.get()
    assert response["Location"] == reverse("campaign:job", args=[show.code, job.code])
    assert ada_client.post(address)["Location"] == response["Location"]
    assert Job.objects.count() == 1


def test_the_end_is_refused_with_the_missing_numbers(ada_client, show):
    order(show, copies=2)
    close(show)
    page = ada_client.post(reverse("fulfilment:end_printing", args=[show.code]), follow=True).content.decode()
    assert "2 copies are not printed yet: 1/20, 2/20." in page
    show.refresh_from_db()
    assert show.state == Show.State.CLOSED


def test_making_papers_again_of_what_no_parcel_takes_says_so_at_every_click(ada_client, show):
    set_up_packing(show, mailers=(TUBE,))
    printed_show(show, orders=1)
    work(end(show))
    for _ in range(3):
        page = ada_client.post(reverse("fulfilment:end_printing", args=[show.code]), follow=True).content.decode()
        assert "No parcel takes 1/" in page and "must lie flat" in page
    assert Job.objects.count() == 1


def test_after_the_end_no_mark_can_be_changed_for_copies_with_a_parcel(ada_client, show):
    printed_show(show, orders=1)
    job = end(show)
    work(job)
    page = mark(ada_client, show, **{"harbour-numbers": "1", "back": "1"}).content.decode()
    assert "Copy 1 has a parcel already" in page
    assert printed() == [1]


def test_after_the_end_a_spoiled_copy_is_still_to_be_printed(ada_client, show):
    printed_show(show, orders=2)
    work(end(show))
    assert "still to be printed" not in ada_client.get(room(show)).content.decode()
    spoil_copies(
        edition=edition_of(show), numbers={2}, note="A scratch.", by="ada", now=LATER, request_key=uuid.uuid4()
    )  # fmt: skip
    page = ada_client.get(room(show)).content.decode()
    assert "Printing has ended; 1 copy is still to be printed." in page
