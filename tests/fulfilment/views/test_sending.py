import pytest
from django.urls import reverse
from django.utils import timezone

from campaign.models import Job, OutboxMessage
from fulfilment.models import Parcel
from fulfilment.views import sending
from tests.fulfilment.scene import end, printed_show, show_with_parcels, work

pytestmark = pytest.mark.usefixtures("engine")
S10 = "RR473124829GB"


@pytest.fixture
def parcels(show):
    show_with_parcels(show)
    return list(Parcel.objects.all())


def room(show):
    return reverse("fulfilment:send", args=[show.code])


def submit(client, show, *, query="", **data):
    return client.post(room(show) + query, data, follow=True)


def posted():
    return list(Parcel.objects.filter(state="posted").values_list("number", "tracking_number"))


def test_the_room_shows_papers_parcels_and_what_is_in_them(ada_client, show, parcels):
    page = ada_client.get(room(show)).content.decode()
    assert "parcels 1 to 3" in page
    assert page.count(f"/studio/{show.code}/papers/") == 3
    assert "0 of 3 parcels posted." in page
    for parcel in parcels:
        assert parcel.name in page


def test_a_paper_opens_as_pdf(ada_client, show, parcels):
    page = ada_client.get(room(show)).content.decode()
    link = page.split(f'href="/studio/{show.code}/papers/')[1].split('"')[0]
    response = ada_client.get(f"/studio/{show.code}/papers/{link}")
    assert response["Content-Type"] == "application/pdf"
    assert response.content.startswith(b"%PDF")


def test_ticked_parcels_and_those_with_a_typed_number_are_posted(ada_client, show, parcels):
    one, two, _ = parcels
    page = submit(ada_client, show, **{f"tick_{one.code}": "on", f"number_{two.code}": "rr 473124829 gb"})
    assert posted() == [(1, ""), (2, S10)]
    assert "2 parcels marked as posted." in page.content.decode()


def test_submitting_twice_is_one_act(ada_client, show, parcels):
    data = {f"tick_{parcels[0].code}": "on", f"number_{parcels[0].code}": S10}
    submit(ada_client, show, **data)
    page = submit(ada_client, show, **data)
    assert posted() == [(1, S10)]
    assert "The tracking numbers are kept." in page.content.decode()


def test_a_mistyped_number_gets_a_sentence_at_its_field_and_posts_nothing(ada_client, show, parcels):
    data = {f"tick_{parcels[0].code}": "on", f"number_{parcels[1].code}": "RR473124828GB"}
    page = submit(ada_client, show, **data).content.decode()
    assert page.count("RR473124828GB has a mistyped character") == 2
    assert f'href="#id_number_{parcels[1].code}"' in page
    assert 'value="RR473124828GB"' in page
    assert posted() == []


def test_nothing_chosen_is_a_sentence(ada_client, show, parcels):
    assert "Tick the parcels first" in submit(ada_client, show).content.decode()


def test_the_mark_is_taken_back(ada_client, show, parcels):
    tick = {f"tick_{parcels[0].code}": "on"}
    submit(ada_client, show, **tick)
    page = submit(ada_client, show, **tick, back="1").content.decode()
    assert "1 parcel back to be posted." in page
    assert posted() == []


def test_a_list_shows_only_what_is_asked_for_and_stays_there(ada_client, show, parcels):
    tick = {f"tick_{parcels[0].code}": "on"}
    response = submit(ada_client, show, query="?only=to_pack", **tick)
    assert response.redirect_chain[0][0].endswith("?only=to_pack&page=1")
    assert parcels[0].name not in response.content.decode()
    assert parcels[0].name in ada_client.get(room(show) + "?only=posted").content.decode()
    assert ada_client.get(room(show) + "?only=nonsense&page=99").status_code == 200


def test_long_lists_come_in_pages(ada_client, show, parcels, monkeypatch):
    monkeypatch.setattr(sending, "PER_PAGE", 2)
    first = ada_client.get(room(show)).content.decode()
    assert parcels[2].name not in first
    assert parcels[2].name in ada_client.get(room(show) + "?page=2").content.decode()


def test_notices_are_sent_once_and_lead_to_their_progress(ada_client, show, parcels):
    submit(ada_client, show, **{f"tick_{parcel.code}": "on" for parcel in parcels})
    address = reverse("fulfilment:send_notices", args=[show.code])
    first = ada_client.post(address)
    job = Job.objects.get(kind="notices")
    assert first["Location"] == reverse("campaign:job", args=[show.code, job.code])
    assert ada_client.post(address)["Location"] == first["Location"]
    assert OutboxMessage.objects.filter(name="parcel_posted").count() == 3
    page = ada_client.get(room(show)).content.decode()
    assert "Everybody whose parcel is posted has been told." not in page
    OutboxMessage.objects.filter(name="parcel_posted").update(state="sent", sent_at=timezone.now())
    page = ada_client.get(room(show)).content.decode()
    assert "Everybody whose parcel is posted has been told." in page
    assert page.count(", told</span>") == 3


def test_a_notice_that_is_held_back_has_told_nobody(ada_client, show, parcels):
    submit(ada_client, show, **{f"tick_{parcel.code}": "on" for parcel in parcels})
    ada_client.post(reverse("fulfilment:send_notices", args=[show.code]))
    page = ada_client.get(room(show)).content.decode()
    assert page.count(">notice waiting</span>") == 3 and ", told</span>" not in page
    job = Job.objects.get(kind="notices")
    Job.objects.filter(pk=job.pk).update(state="running")
    first = job.messages.first()
    OutboxMessage.objects.filter(pk=first.pk).update(state="sent", sent_at=timezone.now())
    ada_client.post(reverse("campaign:pause", args=[show.code, job.code]))
    page = ada_client.get(room(show)).content.decode()
    assert (page.count(", told</span>"), page.count(">notice held back by you</span>")) == (1, 2)
    assert "3 of 3 parcels posted; 2 notices held back by you." in page
    assert "Written and not gone out: 2 notices held back by you." in page
    one = ada_client.get(reverse("fulfilment:parcel", args=[show.code, parcels[1].code])).content.decode()
    assert "posted, notice held back by you" in one
    told = ada_client.get(reverse("fulfilment:parcel", args=[show.code, parcels[0].code])).content.decode()
    assert "posted, recipient told" in told


def test_a_batch_that_was_called_off_says_that_nobody_was_told(ada_client, show, parcels):
    submit(ada_client, show, **{f"tick_{parcels[0].code}": "on"})
    ada_client.post(reverse("fulfilment:send_notices", args=[show.code]))
    address = reverse("fulfilment:call_off_notices", args=[show.code, Job.objects.get(kind="notices").code])
    page = ada_client.post(address, follow=True).content.decode()
    assert "Nobody was told; their parcels wait for their notice again." in page
    assert "1 recipient does not know yet." in ada_client.get(room(show)).content.decode()


def test_notices_without_posted_parcels_are_a_sentence(ada_client, show, parcels):
    page = ada_client.post(reverse("fulfilment:send_notices", args=[show.code]), follow=True).content.decode()
    assert "No posted parcel waits for its notice." in page


def test_a_told_parcel_cannot_be_changed_on_the_page(ada_client, show, parcels):
    tick = {f"tick_{parcels[0].code}": "on"}
    submit(ada_client, show, **tick)
    ada_client.post(reverse("fulfilment:send_notices", args=[show.code]))
    page = submit(ada_client, show, **tick, back="1").content.decode()
    assert "The notice for parcel 1 is written and has not gone out" in page
    OutboxMessage.objects.filter(name="parcel_posted").update(state="sent", sent_at=timezone.now())
    page = submit(ada_client, show, **tick, back="1").content.decode()
    assert "The notice for parcel 1 has been sent" in page
    assert posted() == [(1, "")]


def test_a_job_that_stopped_is_shown_with_its_sentence_and_tried_again(ada_client, show, engine):
    job = end(printed_show(show, orders=2))
    engine("missing")
    work(job)
    page = ada_client.get(room(show)).content.decode()
    assert "Papers need the pango library" in page
    ada_client.post(reverse("fulfilment:papers_again", args=[show.code, job.code]))
    job.refresh_from_db()
    assert job.state == Job.State.WAITING
    engine("plain")
    assert work(job, now=timezone.now()) == "done"
