"""Works from a spreadsheet: pasted, looked at row by row, stored all together or not at all."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.forms.paste import PasteForm
from campaign.services.paste_works import read_works, store_works
from campaign.views.rooms import apply_edit, room


@room("GET", "POST")
def paste_works(request: HttpRequest, show: Any) -> HttpResponse:
    """The text area; after the first button what each row would do, after the second the table of works."""
    form = PasteForm(request.POST or None, show=show)
    pasted = None
    if request.method == "POST" and form.is_valid():
        text = form.cleaned_data["text"]
        pasted = read_works(show=show, text=text)
        is_told = "store" in request.POST and not pasted.refusals
        if is_told and apply_edit(
            request, show=show, form=form, done=pasted.words, act=lambda: store_works(show=show, text=text)
        ):
            return redirect(f"{reverse('campaign:works', args=[show.code])}?as=table")
    context = {"show": show, "room": "measure", "part": "works", "form": form, "pasted": pasted}
    return render(request, "campaign/studio/paste_works.html", context)
