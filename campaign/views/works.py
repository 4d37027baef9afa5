"""Works that could hang: the contact sheet, the table, one work with its picture and place."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from campaign.access import get_work
from campaign.forms.work_table import TieForm, typed_rows, work_table
from campaign.forms.works import SizeRows, WorkForm, sizes_differ, work_wish
from campaign.queries.room import list_finishes, size_rows
from campaign.queries.works import list_ties, list_work_lines, other_works, wall_choices, work_start
from campaign.services.work_table import Move, save_work_table
from campaign.services.works import remove_work, save_work
from campaign.views.rooms import apply_edit, ask, is_saving, room


@room("GET", "POST")
def works(request: HttpRequest, show: Any) -> HttpResponse:
    """The contact sheet; with `?as=table` the same in figures, where all works are changed and moved at once."""
    is_table = request.method == "POST" or request.GET.get("as") == "table"
    lines = list_work_lines(show)
    context = {"show": show, "room": "measure", "part": "works", "lines": lines, "is_table": is_table}
    if is_table:  # forty forms that the contact sheet does not show
        table = work_table(request.POST or None, works=[line.work for line in lines])
        if request.method == "POST" and table.is_valid():
            rows, move = typed_rows(table), _move(request)
            apply_edit(request, show=show, form=None, act=lambda: save_work_table(show=show, rows=rows, move=move))
            return redirect(f"{request.path}?as=table")
        by_code = {line.work.code: line for line in lines}
        pairs = [(by_code.get(str(form["code"].value())), form) for form in table.forms]
        context |= {"table": table, "pairs": [pair for pair in pairs if pair[0]]}
    return render(request, "campaign/studio/works.html", context)


@room("GET", "POST")
def new_work(request: HttpRequest, show: Any) -> HttpResponse:
    """An empty sheet for a work."""
    return _work(request, show=show, work=None)


@room("GET", "POST")
def work(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """One work with its sizes, finishes, picture and place."""
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
        words="It can then no longer hang in this show. Its sizes, own worths and ties go with it.", back=back,
    )  # fmt: skip


def _work(request: HttpRequest, *, show: Any, work: Any) -> HttpResponse:
    finishes = [(one.code, one.name) for one in list_finishes(show)]
    choices: dict[str, Any] = {"finishes": finishes, "walls": wall_choices(show)}
    data, files = request.POST or None, request.FILES or None
    form = WorkForm(data, files, show=show, initial=work_start(work), **choices)
    rows = SizeRows(data, show=show, prefix="sizes", initial=size_rows(work))
    if "more" in request.POST:
        form, rows = WorkForm(show=show, initial=form.typed, **choices), rows.with_more()
    elif is_saving(request) and form.is_valid() & rows.is_valid() and sizes_differ(rows):
        wish, picture = work_wish(form, rows), form.cleaned_data["picture"]
        if apply_edit(
            request, show=show, form=form, act=lambda: save_work(show=show, work=work, wish=wish, picture=picture)
        ):
            return redirect("campaign:works", show_code=show.code)
    context = {"show": show, "room": "measure", "part": "works", "work": work, "form": form, "rows": rows}
    if work:
        context |= {"ties": list_ties(work), "tie_form": TieForm(show=show, others=other_works(show, work=work))}
    return render(request, "campaign/studio/work.html", context)


def _move(request: HttpRequest) -> Move | None:
    for name, by in (("up", -1), ("down", 1)):
        if name in request.POST:
            return Move(code=request.POST[name], by=by)
    return None
