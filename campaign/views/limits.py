"""How often one network or one address may do something; the counting is in services.rates."""

import ipaddress
from datetime import datetime, timedelta

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.crypto import salted_hmac

from campaign.services import rates

HOUR = timedelta(hours=1)
PER_ADDRESS = 6  # of one act, per e-mail address and hour


def address_of(request: HttpRequest) -> str:
    """
    The visitor's address as far as it can be believed.

    Behind a proxy (WALLFUL_BEHIND_PROXY) the last address of X-Forwarded-For counts, the one the proxy itself wrote.
    """
    address: str = request.META.get("REMOTE_ADDR", "")
    if settings.BEHIND_PROXY:
        address = request.headers.get("X-Forwarded-For", address).rpartition(",")[2].strip()
    return address


def network_of(request: HttpRequest) -> str:
    """The visitor's network, an IPv4 /24 or an IPv6 /56: people move within one."""
    try:
        parsed = ipaddress.ip_address(address_of(request))
    except ValueError:
        return "unknown"
    if isinstance(parsed, ipaddress.IPv6Address) and parsed.ipv4_mapped:
        parsed = parsed.ipv4_mapped  # else the whole of IPv4 were one network
    bits = 24 if parsed.version == 4 else 56
    return str(ipaddress.ip_network(f"{parsed}/{bits}", strict=False))


def within_limits(request: HttpRequest, *, act: str, email: str, per_network: int, now: datetime) -> bool:
    """Count one `act` for the visitor's network and for an e-mail address, neither kept in clear."""
    asked = [(network_of(request), per_network), (email.strip().casefold(), PER_ADDRESS)]
    limits = {f"{act}:{salted_hmac('rate', who).hexdigest()[:32]}": limit for who, limit in asked}
    return rates.allow(limits=limits, window=HOUR, now=now)


def too_many(request: HttpRequest, *, now: datetime) -> HttpResponse:
    """429 with the seconds until the next hour begins, when counting starts anew."""
    seconds = int(HOUR.total_seconds() - now.timestamp() % HOUR.total_seconds()) + 1
    response = render(request, "429.html", status=429)
    response.headers["Retry-After"] = str(seconds)
    return response
