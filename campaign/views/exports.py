"""Files of the cash book and the pledges, and an exported book held against the one in the database."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from campaign.forms.ending import CompareForm
from campaign.services.exports import compare_cash_book, write_export
from campaign.sheets import UnreadableSheet
from campaign.views.rooms import room


@room("GET")
def export(request: HttpRequest, show: Any, what: str, file_format: str) -> HttpResponse:
    """One file."""
    file = write_export(show=show, what=what, file_format=file_format)
    response = HttpResponse(file.data, content_type=file.content_type)
    response["Content-Disposition"] = f'attachment; filename="{file.name}"'
    return response


@room("GET", "POST")
def compare(request: HttpRequest, show: Any) -> HttpResponse:
    """What differs between a file and the book; nothing is written."""
    form = CompareForm(*((request.POST, request.FILES) if request.method == "POST" else ()))
    found = None
    if request.method == "POST" and form.is_valid():
        try:
            found = compare_cash_book(show=show, data=form.cleaned_data["file"].read())
        except UnreadableSheet as fault:
            form.add_error("file", str(fault))
    context = {"show": show, "room": "fund", "part": "cash", "form": form, "found": found}
    return render(request, "campaign/studio/compare_book.html", context)
