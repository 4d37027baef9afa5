"""The packing station as a plain form, and what its script asks for; helpers may do all of it."""

import json
import re
import uuid

import pytest
from django.urls import reverse

from fulfilment.models import Parcel, ParcelEvent
from tests.fulfilment.scene import show_with_parcels

pytestmark = pytest.mark.usefixtures("engine")


@pytest.fixture
def parcels(show):
    show_with_parcels(show)
    return list(Parcel.objects.all())


def url(show, name="packing_station"):
    return reverse(f"fulfilment:{name}", args=[show.code])


def hidden(page):
    """The form's hidden fields as the page has them."""
    form = page.split('<form class="station"')[1].split("</form>")[0]
    tags = re.findall(r'<input type="hidden"[^>]*>', form)
    return {
        re.search('name="([^"]*)"', tag)[1]: (re.search('value="([^"]*)"', tag) or [0, ""])[1]
        for tag in tags
        if "csrf" not in tag
    }


def scan(client, show, code, page=""):
    page = page or client.get(url(show)).content.decode()
    return client.post(url(show), hidden(page) | {"scan": code}, follow=True).content.decode()


def label(parcel):
    return str(parcel.parcel_copies.get().copy)


def test_a_helper_packs_a_parcel_with_two_scans_and_no_script(kim, show, parcels):
    page = scan(kim, show, parcels[0].code)
    assert f'<p class="station-who">{parcels[0].name}</p>' in page
    assert label(parcels[0]) in page
    assert "Germany" in page
    page = scan(kim, show, label(parcels[0]), page)
    assert "Parcel 1 is packed." in page
    assert "1 packed, 2 to pack" in page
    assert Parcel.objects.get(number=1).packed_by == "kim"


def test_a_wrong_copy_stops_and_nothing_is_recorded(kim, show, parcels):
    page = scan(kim, show, parcels[0].code)
    page = scan(kim, show, label(parcels[1]), page)
    assert f"Stop. {label(parcels[1])} does not belong in parcel 1. It belongs in parcel 2" in page
    assert hidden(page)["parcel"] == parcels[0].code
    assert "Parcel 1 is packed." in scan(kim, show, label(parcels[0]), page)
    assert ParcelEvent.objects.count() == 1


def test_the_last_scan_sent_twice_is_one_act(kim, show, parcels):
    last = hidden(scan(kim, show, parcels[0].code)) | {"scan": label(parcels[0])}
    for _ in range(2):
        kim.post(url(show), last)
    assert ParcelEvent.objects.count() == 1


def test_a_packed_parcel_says_so_and_is_opened_again(kim, show, parcels):
    scan(kim, show, label(parcels[0]), scan(kim, show, parcels[0].code))
    page = scan(kim, show, parcels[0].code)
    assert "Parcel 1 is packed already by kim" in page
    page = kim.post(url(show, "open_parcel"), {"parcel": parcels[0].code}, follow=True).content.decode()
    assert "0 packed, 3 to pack" in page
    page = kim.post(url(show, "open_parcel"), {"parcel": "NOSUCH"}, follow=True).content.decode()
    assert "No parcel of this show has the code NOSUCH" in page


def test_an_empty_scan_keeps_what_is_in_hand(kim, show, parcels):
    page = scan(kim, show, parcels[0].code)
    page = scan(kim, show, "", page)
    assert "Scan or type a code" in page
    assert hidden(page)["parcel"] == parcels[0].code


def test_the_script_gets_contents_without_addresses(kim, show, parcels):
    said = kim.get(url(show, "packing_contents"))
    found = said.json()
    assert (found["packed"], found["left"]) == (0, 3)
    first = found["parcels"][0]
    assert (first["code"], first["name"], first["country"]) == (parcels[0].code, parcels[0].name, "Germany")
    assert label(parcels[0]) in first["copies"][0]["scans"]
    text = json.dumps(found)
    assert parcels[0].email not in text
    assert parcels[0].address["street_address"] not in text


def test_the_script_sends_each_parcel_under_its_own_key(kim, show, parcels):
    copy = kim.get(url(show, "packing_contents")).json()["parcels"][0]["copies"][0]["key"]
    act = {"parcel": parcels[0].code, "confirmed": copy, "request_key": uuid.uuid4(), "seconds_ago": "40"}
    for _ in range(2):
        assert kim.post(url(show, "pack_parcel"), act).json() == {"is_packed": True, "said": "Parcel 1 is packed."}
    late = kim.post(url(show, "pack_parcel"), act | {"request_key": uuid.uuid4()}).json()
    assert not late["is_packed"]
    assert "by kim" in late["said"]
    assert not kim.post(url(show, "pack_parcel"), {"parcel": "x"}).json()["is_packed"]
    assert ParcelEvent.objects.count() == 1
