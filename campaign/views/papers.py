"""Papers as answers."""

from django.http import HttpResponse


def pdf_answer(pdf: bytes, *, name: str) -> HttpResponse:
    """A PDF, shown in the browser under `name` and kept by nobody on the way."""
    response = HttpResponse(pdf, content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="{name}"'
    response["Cache-Control"] = "no-store, private"
    return response
