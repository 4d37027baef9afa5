"""Which network a visitor belongs to."""

from typing import Any

import pytest
from django.test import RequestFactory
from django.urls import reverse

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


def test_an_ipv4_address_in_ipv6_clothes_is_its_own_network(rf):
    assert network_of(rf.get("/", REMOTE_ADDR="::ffff:203.0.113.7")) == "203.0.113.0/24"


def test_failed_sign_ins_behind_a_proxy_are_counted_by_visitor(client, ada, settings):
    settings.BEHIND_PROXY = True

    def sign_in(password, *, address):
        return client.post(
            reverse("campaign:sign_in"), {"username": "ada", "password": password}, REMOTE_ADDR="10.0.0.1",
            HTTP_X_FORWARDED_FOR=f"192.0.2.1, {address}",
        ).status_code  # fmt: skip

    for _ in range(settings.AXES_FAILURE_LIMIT):
        last = sign_in("wrong", address="198.51.100.9")
    assert last == 429
    assert sign_in("a long enough password", address="203.0.113.7") == 302
