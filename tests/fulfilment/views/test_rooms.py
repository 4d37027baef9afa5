"""
Questions that every page of the rooms Print, Send, Hang and Settle must answer; who may open them is asked of the
whole studio in `tests/campaign/views/test_studio_access.py`.
"""

import pytest
from django.urls import reverse

from tests.fulfilment.scene import show_with_parcels

pytestmark = pytest.mark.usefixtures("engine")


def address(name, show, parts=()):
    return reverse(f"fulfilment:{name}", args=[show.code, *parts])


@pytest.mark.parametrize("name", ["print", "send", "hang", "settle"])
def test_every_page_opens_after_the_end_of_printing(ada_client, show, name):
    show_with_parcels(show)
    assert ada_client.get(address(name, show)).status_code == 200


@pytest.mark.parametrize(("name", "limit"), [("print", 13), ("send", 27), ("hang", 22), ("settle", 14)])
def test_more_orders_do_not_mean_more_queries(ada_client, show, name, limit, django_assert_max_num_queries):
    show_with_parcels(show, orders=8)
    with django_assert_max_num_queries(limit):
        ada_client.get(address(name, show))
