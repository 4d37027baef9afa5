"""Works and prices from a spreadsheet: pasted, looked at row by row, stored all together or not at all."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.forms.paste import PasteForm
from campaign.services.paste_prices import read_prices, store_prices
from campaign.services.paste_works import read_works, store_works
from campaign.views.rooms import apply_edit, room


@room("GET", "POST")
def paste_works(request: HttpRequest, show: Any) -> HttpResponse:
    """Works, and then their table."""
    back = f"{reverse('campaign:works', args=[show.code])}?as=table"
    return _paste(request, show=show, part="works", read=read_works, store=store_works, back=back)


@room("GET", "POST")
def paste_prices(request: HttpRequest, show: Any) -> HttpResponse:
    """Prices, and then the price book."""
    back = reverse("campaign:prices", args=[show.code])
    return _paste(request, show=show, part="prices", read=read_prices, store=store_prices, back=back)


def _paste(
    request: HttpRequest, *, show: Any, part: str, read: Callable[..., Any], store: Callable[..., Any], back: str
) -> HttpResponse:
    """The text area; after the first button what each row would do, after the second where it leads."""
    form = PasteForm(request.POST or None, show=show)
    pasted = None
    if request.method == "POST" and form.is_valid():
        text = form.cleaned_data["text"]
        pasted = read(show=show, text=text)
        is_told = "store" in request.POST and not pasted.refusals
        if is_told and apply_edit(
            request, show=show, form=form, done=pasted.words, act=lambda: store(show=show, text=text)
        ):
            return redirect(back)
    context = {"show": show, "room": "measure", "part": part, "form": form, "pasted": pasted, "back": back}
    return render(request, f"campaign/studio/paste_{part}.html", context)
