import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from fulfilment.models import Parcel
from tests.fulfilment.scene import show_with_parcels

pytestmark = pytest.mark.usefixtures("engine")


@pytest.fixture
def url(show):
    show_with_parcels(show, orders=2)
    return reverse("fulfilment:tracking", args=[show.code])


def test_a_file_is_looked_at_and_then_taken(ada_client, show, url):
    file = SimpleUploadedFile("t.csv", b"Parcel,Tracking number\r\n1,T1\r\n2,T2\r\n")
    page = ada_client.post(url, {"file": file, "look": "1"}).content.decode()
    assert "Take all 2 numbers" in page
    assert not Parcel.objects.exclude(tracking_number="").exists()
    text = "Parcel,Tracking number\r\n1,T1\r\n2,T2\r\n"
    page = ada_client.post(url, {"text": text, "store": "1"}, follow=True).content.decode()
    assert "2 parcels newly posted" in page
    assert list(Parcel.objects.values_list("tracking_number", flat=True)) == ["T1", "T2"]


def test_one_wrong_row_keeps_all_from_being_taken(ada_client, show, url):
    page = ada_client.post(url, {"text": "Parcel,Tracking number\n1,T1\n9,T9\n", "store": "1"}).content.decode()
    assert "is no parcel of this show" in page
    assert "Take all" not in page
    assert not Parcel.objects.exclude(tracking_number="").exists()


def test_nothing_and_nonsense_are_sentences(ada_client, show, url):
    assert "Choose a file, or paste the rows." in ada_client.post(url, {}).content.decode()
    assert "is not there" in ada_client.post(url, {"text": "a,b\n1,2"}).content.decode()
