"""A work's own worth in each size and finish, and its ties to other works."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from campaign.access import get_work
from campaign.forms.work_table import KINDS, TieForm, WorthForm
from campaign.queries.works import list_ways, other_works
from campaign.services.work_ties import set_worths, tie_works, untie_works
from campaign.views.rooms import apply_edit, room


@room("GET", "POST")
def worths(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Every way the work could hang, with its worth as reckoned and a field for the artist's own."""
    work = get_work(show=show, code=code)
    form = WorthForm(request.POST or None, show=show, ways=list_ways(show, work=work))
    if request.method == "POST" and form.is_valid():
        wanted = form.worths
        if apply_edit(request, show=show, form=form, act=lambda: set_worths(show=show, work=work, worths=wanted)):
            return redirect("campaign:worths", show_code=show.code, code=work.code)
    context = {"show": show, "room": "measure", "part": "works", "work": work, "form": form}
    return render(request, "campaign/studio/worths.html", context)


@room("POST")
def tie(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Ties the work to another one."""
    work = get_work(show=show, code=code)
    form = TieForm(request.POST, show=show, others=other_works(show, work=work))
    if form.is_valid():
        kind, other = form.cleaned_data["kind"], form.cleaned_data["other"]
        apply_edit(
            request, show=show, form=None, act=lambda: tie_works(show=show, work=work, other_code=other, kind=kind)
        )
    else:
        messages.error(request, "Choose another work of this show, and how the two are tied. Nothing was changed.")
    return redirect("campaign:work", show_code=show.code, code=work.code)


@room("POST")
def untie(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Takes a tie away."""
    work = get_work(show=show, code=code)
    kind, other = request.POST.get("kind", ""), request.POST.get("other", "")
    if kind in dict(KINDS) and "\0" not in other:
        apply_edit(
            request, show=show, form=None, act=lambda: untie_works(show=show, work=work, other_code=other, kind=kind)
        )
    return redirect("campaign:work", show_code=show.code, code=work.code)
