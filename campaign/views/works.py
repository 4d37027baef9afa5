"""Works that could hang: the contact sheet, one work, its picture."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.access import get_work
from campaign.forms.works import SizeRows, WorkForm, sizes_differ, work_wish
from campaign.queries.room import list_finishes, list_works, size_rows, work_start
from campaign.services.works import remove_work, save_work
from campaign.views.rooms import apply_edit, ask, is_saving, room


@room("GET")
def works(request: HttpRequest, show: Any) -> HttpResponse:
    """The contact sheet and the same in figures."""
    context = {"show": show, "room": "measure", "part": "works", "works": list_works(show)}
    return render(request, "campaign/studio/works.html", context)


@room("GET", "POST")
def new_work(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty sheet for a work."""
    return _work(request, show=show, work=None)


@room("GET", "POST")
def work(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One work with its sizes, finishes and picture."""
    return _work(request, show=show, work=get_work(show=show, code=code))


@room("GET", "POST")
def delete_work(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Asks, then takes the work off the list."""
    found = get_work(show=show, code=code)
    back = reverse("campaign:works", args=[show.code])
    if request.method == "POST":
        apply_edit(request, show=show, form=None, act=lambda: remove_work(show=show, work=found))
        return redirect(back)
    return ask(
        request, show=show, room_name="measure", question=f"Take “{found}” off the list?", button="Take it off",
        words="It can then no longer hang in this show. Its sizes go with it.", back=back,
    )  # fmt: skip


def _work(request: HttpRequest, *, show: Any, work: Any) -> HttpResponse:
    finishes = [(finish.code, finish.name) for finish in list_finishes(show)]
    data, files = request.POST or None, request.FILES or None
    form = WorkForm(data, files, show=show, initial=work_start(work), finishes=finishes)
    rows = SizeRows(data, show=show, prefix="sizes", initial=size_rows(work))
    if "more" in request.POST:
        form, rows = WorkForm(show=show, initial=form.typed, finishes=finishes), rows.with_more()
    elif is_saving(request) and form.is_valid() & rows.is_valid() and sizes_differ(rows):
        wish, picture = work_wish(form, rows), form.cleaned_data["picture"]
        if apply_edit(
            request, show=show, form=form, act=lambda: save_work(show=show, work=work, wish=wish, picture=picture)
        ):
            return redirect("campaign:works", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "works", "work": work, "form": form, "rows": rows}
    return render(request, "campaign/studio/work.html", context)
