"""How to pay on a backer's page: which codes stand there, what they say when they are read, and the bill to print."""

import base64
import io
import re

import pypdfium2
import pytest
import time_machine
import zxingcpp
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from campaign.access import make_pledge_token
from campaign.models import Studio
from tests import builders
from tests.builders import NOW

pytestmark = pytest.mark.django_db
SWISS = {"iban": "CH5800791123000889012", "bic": "", "address": "Ada Example\nMusterweg 12\n8000 Zürich\nSwitzerland"}


def order(client, *, currency="EUR", studio=None, **changes):
    show = builders.make_show(currency=currency)
    Studio.objects.filter(pk=1).update(**(studio or {}))
    pledge = builders.place(show, **changes)
    client.get(reverse("campaign:pledge_link", args=[make_pledge_token(pledge)]))
    return pledge


@pytest.fixture(autouse=True)
def in_time():
    """Orders of the tests are placed in March; their pages are read while they are held."""
    with time_machine.travel(NOW, tick=True):
        yield


def page_of(client, pledge):
    return client.get(reverse("campaign:my_pledge", args=[pledge.code])).content.decode()


def bill_of(client, pledge):
    return client.get(reverse("campaign:my_bill", args=[pledge.code]))


def read_pdf(pdf, *, dpi=300):
    image = pypdfium2.PdfDocument(pdf)[0].render(scale=dpi / 72).to_pil()
    return [found.text for found in zxingcpp.read_barcodes(image)]


def lines_of(pledge, *, currency="CHF"):
    amount = f"{pledge.total_minor // 100}.{pledge.total_minor % 100:02d}"
    payee = ["S", "Ada Example", "Musterweg 12", "", "8000", "Zürich", "CH"]
    return [
        "SPC", "0200", "1", "CH5800791123000889012", *payee, *[""] * 7, amount, currency, *[""] * 7, "SCOR",
        pledge.reference, "Tideline", "EPD",
    ]  # fmt: skip


def test_swiss_account_in_francs_has_the_swiss_code_only(client):
    pledge = order(client, currency="CHF", studio=SWISS)
    page = page_of(client, pledge)
    assert "For banking apps in Switzerland and Liechtenstein, in CHF" in page and "SEPA" not in page
    assert "8000 Zürich" in page and "From any other bank" in page
    (code,) = re.findall(r'src="data:image/svg\+xml;base64,([^"]+)"', page)
    assert b"style=" not in base64.b64decode(code)


def test_swiss_account_in_euro_has_both_codes(client):
    page = page_of(client, order(client, studio=SWISS))
    assert "Switzerland and Liechtenstein, in EUR" in page and "SEPA" in page


def test_german_account_in_euro_has_the_transfer_code_only_and_it_reads_as_it_should(client):
    pledge = order(client)
    page = page_of(client, pledge)
    assert "SEPA" in page and "Liechtenstein" not in page
    (code,) = re.findall(r'src="data:image/png;base64,([^"]+)"', page)
    image = Image.open(io.BytesIO(base64.b64decode(code)))
    found = zxingcpp.read_barcode(image.resize((image.width * 4, image.height * 4), Image.Resampling.NEAREST))
    amount = f"EUR{pledge.total_minor // 100}.{pledge.total_minor % 100:02d}"
    assert found.text.split("\n") == [
        "BCD", "002", "1", "SCT", "COBADEFFXXX", "Ada Example", "DE89370400440532013000", amount, "", pledge.reference
    ]  # fmt: skip
    assert bill_of(client, pledge).status_code == 404


def test_other_currencies_have_plain_text(client):
    page = page_of(client, order(client, currency="GBP"))
    assert "No code for banking apps fits" in page and "DE89 3704" in page and "data:image" not in page


def test_bill_is_printed_and_its_code_reads_back(client):
    pledge = order(client, currency="CHF", studio=SWISS)
    response = bill_of(client, pledge)
    assert response["Content-Type"] == "application/pdf" and "no-store" in response["Cache-Control"]
    assert read_pdf(response.content) == ["\r\n".join(lines_of(pledge))]
    reader = PdfReader(io.BytesIO(response.content))
    text = reader.pages[0].extract_text()
    assert len(reader.pages) == 1
    for words in ("Receipt", "Payment part", "Acceptance point", "CH58 0079 1123 0008 8901 2", pledge.reference[:4]):
        assert words in text
    assert [round(float(side) / 72 * 25.4) for side in reader.pages[0].mediabox[2:]] == [210, 297]


def test_after_a_part_payment_the_bill_asks_for_the_rest(client):
    pledge = order(client, currency="CHF", studio=SWISS)
    builders.pay(pledge, amount_minor=1000)
    (payload,) = read_pdf(bill_of(client, pledge).content)
    assert payload.split("\r\n")[18] == f"{(pledge.total_minor - 1000) / 100:.2f}"


@pytest.mark.parametrize(
    "studio",
    [SWISS | {"address": ""}, SWISS | {"iban": "CH4431999123000889012"}, SWISS | {"address": "Ada\nNowhere"}],
    ids=["no address", "account of bills only", "no postcode"],
)
def test_without_what_a_bill_needs_there_is_none(client, studio):
    pledge = order(client, currency="CHF", studio=studio)
    assert bill_of(client, pledge).status_code == 404
    assert "No code for banking apps fits" in page_of(client, pledge)


def test_bill_is_for_the_one_with_the_link_only(client):
    show = builders.make_show(currency="CHF")
    pledge = builders.place(show)
    assert bill_of(client, pledge).status_code == 403
    assert client.post(reverse("campaign:my_bill", args=[pledge.code])).status_code == 405
    assert client.get(reverse("campaign:my_bill", args=["NOSUCHCODE22"])).status_code == 403


def test_paid_order_has_no_bill(client):
    pledge = order(client, currency="CHF", studio=SWISS)
    builders.pay(pledge)
    assert bill_of(client, pledge).status_code == 404


@pytest.mark.parametrize(
    ("way", "words"),
    [("cheque", ["Payable to", "Write on its back", "Beispielgasse 3"]), ("cash", ["Saturdays from 10 to 12"])],
)
def test_cheque_and_cash_say_all_that_is_needed(client, way, words):
    pledge = order(client, way=way)
    page = page_of(client, pledge)
    assert all(word in page for word in [*words, pledge.reference[:4]])
