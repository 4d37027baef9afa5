"""The public page of a certificate: edition, number, valid or void; nobody's name but the artist's."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from campaign.access import get_studio
from campaign.views.public import cached
from fulfilment.queries.certificates import find_certificate


@require_safe
def copy(request: HttpRequest, code: str) -> HttpResponse:
    """What the code on a certificate confirms."""
    certificate = find_certificate(code)
    if certificate is None:
        raise Http404
    edition = certificate.copy.edition
    context = {"certificate": certificate, "edition": edition, "show": edition.show, "studio": get_studio()}
    return cached(render(request, "fulfilment/copy.html", context))
