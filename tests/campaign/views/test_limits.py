"""Which network a visitor belongs to."""

from typing import Any

import pytest
from django.test import RequestFactory

from campaign.views.limits import network_of


@pytest.mark.parametrize(
    ("address", "network"),
    [
        ("192.0.2.17", "192.0.2.0/24"),
        ("2001:db8:1234:5678::1", "2001:db8:1234:5600::/56"),
        ("", "unknown"),
        ("unix:", "unknown"),
    ],
)
def test_neighbours_share_a_network(address: str, network: str) -> None:
    assert network_of(RequestFactory().get("/", REMOTE_ADDR=address)) == network


def test_forwarded_address_counts_behind_a_proxy_only(settings: Any) -> None:
    request = RequestFactory().get(
        "/", REMOTE_ADDR="192.0.2.1", headers={"X-Forwarded-For": "203.0.113.9, 198.51.100.7"}
    )
    settings.BEHIND_PROXY = False
    assert network_of(request) == "192.0.2.0/24"
    settings.BEHIND_PROXY = True
    assert network_of(request) == "198.51.100.0/24"  # what the visitor wrote into the header himself is not believed
