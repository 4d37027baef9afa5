"""The bank in the room Fund: statements read in, the lines that wait, what was booked."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_bank_statement, get_bank_upload
from campaign.errors import Refusal
from campaign.forms.bank import ColumnsForm, StatementForm
from campaign.queries.bank import find_upload, list_certain, list_open, list_settled, list_statements
from campaign.queries.effect import read_outlook
from campaign.services.bank_lines import book_line_to_order
from campaign.services.bank_statements import (
    drop_statement,
    drop_upload,
    read_upload,
    take_file,
    upload_sheet,
)
from campaign.statements import guess_layout
from campaign.views.bank_words import booked_words, read_words
from campaign.views.rooms import room, tell_effect

PER_PAGE = 50


@room("GET", "POST")
def bank(request: HttpRequest, show: Any) -> HttpResponse:
    """A statement to read in, and the lines that wait, each with what it may be."""
    sent = (request.POST, request.FILES) if request.method == "POST" else ()
    form = StatementForm(*sent, show=show)
    if request.method == "POST" and form.is_valid():
        file = form.cleaned_data["file"]
        try:
            done = take_file(show=show, file_name=file.name, data=file.read(), now=timezone.now())
        except Refusal as refusal:
            form.add_error("file", refusal.sentence)
        else:
            if done.upload:
                return redirect("campaign:bank_columns", show_code=show.code, code=done.upload.code)
            messages.success(request, read_words(done))
            return redirect("campaign:bank", show_code=show.code)
    waiting = list_open(show)
    page = Paginator(waiting, PER_PAGE).get_page(request.GET.get("page"))
    context = {
        "show": show, "room": "fund", "part": "bank", "form": form, "page": page, "upload": find_upload(show),
        "certain": sum(one.proposal.is_certain for one in waiting), "statements": list_statements(show)[:12],
    }  # fmt: skip
    return render(request, "campaign/studio/bank.html", context)


@room("GET", "POST")
def bank_columns(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """What the columns of a CSV file mean, with its first rows below."""
    upload = get_bank_upload(show=show, code=code)
    try:
        sheet = upload_sheet(upload)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("campaign:bank", show_code=show.code)
    form = ColumnsForm(request.POST or None, show=show, sheet=sheet, guess=guess_layout(sheet))
    if request.method == "POST" and form.is_valid():
        try:
            done = read_upload(upload=upload, layout=form.layout, name=form.cleaned_data["name"], now=timezone.now())
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
        else:
            messages.success(request, read_words(done))
            return redirect("campaign:bank", show_code=show.code)
    context = {"show": show, "room": "fund", "part": "bank", "form": form, "upload": upload, "sheet": sheet}
    return render(request, "campaign/studio/bank_columns.html", context)


@room("POST")
def bank_forget(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Forget a file that waits for its columns."""
    drop_upload(upload=get_bank_upload(show=show, code=code))
    messages.success(request, "The file is forgotten; nothing was read in.")
    return redirect("campaign:bank", show_code=show.code)


@room("POST")
def bank_book(request: HttpRequest, show: Any) -> HttpResponse:
    """Book the lines that were ticked, or all whose reference and sum agree; one transaction each."""
    if "all" in request.POST:
        chosen = [(one.line, one.pledge) for one in list_certain(show) if one.pledge]
    else:
        ticked = set(request.POST.getlist("line"))
        chosen = [(one.line, one.pledge) for one in list_open(show) if one.pledge and _mark(one) in ticked]
    before, booked = read_outlook(show), 0
    for line, pledge in chosen:
        try:
            book_line_to_order(line=line, pledge=pledge, surplus="", now=timezone.now())
            booked += 1
        except Refusal as refusal:
            messages.error(request, f"{pledge.name}: {refusal.sentence}")
    if booked:
        messages.success(request, f"{booked_words(booked)} {tell_effect(show, before=before)}")
    elif not chosen:
        messages.warning(request, "No line was chosen, or what was chosen has changed since. Nothing was booked.")
    return redirect("campaign:bank", show_code=show.code)


def _mark(one: Any) -> str:
    """What a ticked box says: the line and the order it was shown with, so that no other order is booked."""
    return f"{one.line.code}:{one.pledge.code}"


@room("GET", "POST")
def bank_statement(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """What became of the lines of one statement; the POST takes it out again."""
    statement = get_bank_statement(show=show, code=code)
    if request.method == "POST":
        try:
            drop_statement(statement=statement)
            messages.success(request, "The statement is taken out. It can be read in again at any time.")
        except Refusal as refusal:
            messages.error(request, f"{refusal.sentence} Correct what was booked in the cash book first.")
        return redirect("campaign:bank", show_code=show.code)
    page = Paginator(list_settled(show, statement=statement), PER_PAGE).get_page(request.GET.get("page"))
    counted = list_statements(show).get(pk=statement.pk)
    context = {"show": show, "room": "fund", "part": "bank", "statement": counted, "page": page}
    return render(request, "campaign/studio/bank_statement.html", context)
