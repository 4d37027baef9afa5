"""The page of a parcel and calling off its notices; for the artist alone."""

import re

import pytest
from django.urls import reverse

from campaign.models import Job
from fulfilment.models import Parcel
from fulfilment.services.parcels import mark_posted
from tests.fulfilment.scene import LATER, show_with_parcels

pytestmark = pytest.mark.usefixtures("engine")


@pytest.fixture
def parcel(show):
    show_with_parcels(show, orders=1)
    parcel = Parcel.objects.get()
    mark_posted(show=show, tracking={parcel.code: ""}, now=LATER)
    return parcel


def url(show, parcel, name="parcel"):
    return reverse(f"fulfilment:{name}", args=[show.code, parcel.code])


def key_in(page):
    return re.search(r'name="request_key" value="([^"]*)"', page)[1]


def test_an_outcome_is_written_down_and_the_parcel_sent_again(ada_client, show, parcel):
    page = ada_client.get(url(show, parcel)).content.decode()
    data = {"request_key": key_in(page), "kind": "returned", "note": "Moved away"}
    for _ in range(2):
        page = ada_client.post(url(show, parcel), data, follow=True).content.decode()
    assert page.count("Moved away") == 1
    assert "Send parcel 1 again" in page
    order = parcel.parcel_copies.get().copy.pledge.code
    assert reverse("campaign:owe", args=[show.code, order]) in page
    again = {"request_key": key_in(page)}
    page = ada_client.post(url(show, parcel, "send_parcel_again"), again, follow=True).content.decode()
    assert "Parcel 1 is to be packed again, as posting 2." in page
    page = ada_client.post(url(show, parcel, "send_parcel_again"), {"request_key": "x"}, follow=True)
    assert Parcel.objects.get().posting == 2


def test_no_choice_is_said_at_its_field(ada_client, show, parcel):
    page = ada_client.post(url(show, parcel), {}, follow=True).content.decode()
    assert "This field is required" in page or 'href="#id_kind' in page
    assert not parcel.events.exclude(kind="posted").exists()


def test_notices_have_a_minute_in_which_they_are_called_off(ada_client, show, parcel):
    ada_client.post(reverse("fulfilment:send_notices", args=[show.code]))
    job = Job.objects.get(kind="notices")
    address = reverse("fulfilment:call_off_notices", args=[show.code, job.code])
    assert address in ada_client.get(reverse("campaign:job", args=[show.code, job.code])).content.decode()
    assert "1 mail stays here" in ada_client.post(address, follow=True).content.decode()
    assert "nothing left to call off" in ada_client.post(address, follow=True).content.decode()
    assert Parcel.objects.get().noticed_at is None


def test_a_notice_is_looked_at_before_it_goes(ada_client, show, parcel):
    address = reverse("fulfilment:send_notices", args=[show.code])
    page = ada_client.get(address).content.decode()
    assert parcel.email in page
    assert str(parcel.parcel_copies.get().copy) in page
    assert "/m/" not in page
    assert not Job.objects.filter(kind="notices").exists()
    ada_client.post(address)
    assert "No posted parcel waits for its notice." in ada_client.get(address).content.decode()
