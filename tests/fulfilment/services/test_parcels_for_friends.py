"""What is for a friend goes to the friend, and the backer is told."""

import pytest

from campaign.models import OutboxMessage
from campaign.queries.basket import LineWish
from fulfilment.models import Parcel
from fulfilment.pdf import paper_sources
from fulfilment.services.parcels import mark_posted, send_posted_notices
from tests.fulfilment.scene import LATER, close, end, order, print_all, work

pytestmark = pytest.mark.django_db
FRIEND = {"country_code": "FR", "street_address": "8 rue de l’Exemple", "postal_code": "75008", "city": "Paris"}


@pytest.fixture
def parcels(show):
    order(show, name="Mary Sample", email="mary@example.org",
          lines=(LineWish("harbour", 2), LineWish("harbour", 1, "Wim Sample", FRIEND)))  # fmt: skip
    close(show)
    print_all(show)
    work(end(show))
    return list(Parcel.objects.order_by("number"))


def test_each_goes_to_its_own_address(parcels):
    found = {(p.name, p.email, p.address["country_code"], p.parcel_copies.count(), p.mass_g) for p in parcels}
    assert found == {
        ("Mary Sample", "mary@example.org", "DE", 2, 360),
        ("Wim Sample", "mary@example.org", "FR", 1, 180),
    }


def test_the_notice_of_the_friends_parcel_goes_to_the_backer(show, parcels):
    mark_posted(show=show, tracking={parcel.code: "" for parcel in parcels}, now=LATER)
    send_posted_notices(show=show, now=LATER)
    mails = {message.text.split("\n")[2]: message for message in OutboxMessage.objects.filter(name="parcel_posted")}
    assert {message.recipient for message in mails.values()} == {"mary@example.org"}
    assert all(message.text.startswith("Dear Mary Sample,") for message in mails.values())
    assert sorted(words.split(" left on")[0] for words in mails) == ["The parcel for Wim Sample", "Your parcel"]


def test_the_slip_in_it_says_whom_it_is_from_and_no_price(show, parcels):
    friends = next(parcel for parcel in parcels if parcel.name == "Wim Sample")
    item = paper_sources([friends], show=show)[0].pdf.context["parcels"][0]
    assert item["giver"] == "Mary Sample"
    from django.template.loader import render_to_string

    slip = render_to_string("pdf/packing_slips.html", paper_sources([friends], show=show)[0].pdf.context)
    assert "Mary Sample ordered this for you." in slip and "€" not in slip
