"""The paper there is: rolls and sheets, what goes on which. Prices stand here, so the artist alone comes in."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from campaign.errors import Refusal
from campaign.views.rooms import ask, room
from fulfilment.forms.paper_stock import ChoicesForm, PaperForm, RollForm, SheetsForm
from fulfilment.queries.paper_stock import find_paper, list_price_items, paper_start, read_papers
from fulfilment.queries.shopping import read_shopping
from fulfilment.services.paper_stock import choose_papers, remove_paper, save_paper


@room("GET", "POST")
def paper_stock(request: HttpRequest, show: Any) -> HttpResponse:
    """Every paper, and which prints go on which."""
    papers = read_papers(show)
    form = ChoicesForm(request.POST or None, show=show, papers=papers)
    if request.method == "POST" and form.is_valid():
        choose_papers(show=show, wishes=form.wishes)
        messages.success(request, "Saved. Lay the prints out again if they are to lie on another paper now.")
        return redirect("fulfilment:paper_stock", show_code=show.code)
    context = {"show": show, "room": "print", "part": "paper", "papers": papers, "form": form}
    return render(request, "fulfilment/paper_stock.html", context)


@room("GET", "POST")
def new_roll(request: HttpRequest, show: Any) -> HttpResponse:
    """A roll that is not set up yet."""
    return _paper(request, show=show, stock=None, form_class=RollForm)


@room("GET", "POST")
def new_sheets(request: HttpRequest, show: Any) -> HttpResponse:
    """Sheets of a size that is not set up yet."""
    return _paper(request, show=show, stock=None, form_class=SheetsForm)


@room("GET", "POST")
def paper(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One paper."""
    stock = _get(show, code)
    return _paper(request, show=show, stock=stock, form_class=RollForm if stock.is_roll else SheetsForm)


@room("GET", "POST")
def delete_paper(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then takes the paper away."""
    stock = _get(show, code)
    back = reverse("fulfilment:paper_stock", args=[show.code])
    if request.method == "POST":
        remove_paper(show=show, stock=stock)
        messages.success(request, f"“{stock}” is taken away.")
        return redirect(back)
    return ask(
        request, show=show, room_name="print", question=f"Take “{stock}” away?", button="Take it away", back=back,
        words="What was to be printed on it needs another paper then. Drawings that were made stay as they are.",
    )  # fmt: skip


@room("GET")
def shopping(request: HttpRequest, show: Any) -> HttpResponse:
    """What is to be bought for printing, with sums."""
    context = {"show": show, "room": "print", "part": "shopping", "shopping": read_shopping(show)}
    return render(request, "fulfilment/shopping.html", context)


def _get(show: Any, code: str) -> Any:
    stock = find_paper(show, code=code)
    if stock is None:
        raise Http404
    return stock


def _paper(request: HttpRequest, *, show: Any, stock: Any, form_class: type[PaperForm]) -> HttpResponse:
    start = paper_start(stock, fields=form_class.base_fields)
    form = form_class(request.POST or None, show=show, items=list_price_items(show), initial=start)
    if request.method == "POST" and form.is_valid():
        try:
            saved = save_paper(show=show, stock=stock, wish=form.wish, now=timezone.now())
        except Refusal as refusal:
            form.add_error("name", refusal.sentence)
        else:
            messages.success(request, f"“{saved}” is saved.")
            return redirect("fulfilment:paper_stock", show_code=show.code)
    context = {"show": show, "room": "print", "part": "paper", "stock": stock, "form": form}
    return render(request, "fulfilment/paper.html", context)
