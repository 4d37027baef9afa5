"""What belongs to no show yet: who the studio is, and a new show."""

from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from campaign.access import find_studio, list_shows_for_artist
from campaign.errors import Refusal
from campaign.forms.studio_details import NewShowForm, StudioForm
from campaign.queries.details import new_show_start, studio_start
from campaign.services.new_show import create_show
from campaign.services.studio_details import save_studio


@never_cache
@login_required
@require_http_methods(["GET", "POST"])
def studio_details(request: HttpRequest) -> HttpResponse:
    """Name, mail, sender and ways of paying."""
    shows = list_shows_for_artist(request.user)
    form = StudioForm(request.POST or None, initial=studio_start(find_studio()))
    if request.method == "POST" and form.is_valid():
        try:
            save_studio(values=form.cleaned_data)
            messages.success(request, "The studio’s details are kept.")
            return redirect("campaign:studio" if shows else "campaign:new_show")
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    return render(request, "campaign/studio/details.html", {"form": form, "has_shows": bool(shows)})


@never_cache
@login_required
@require_http_methods(["GET", "POST"])
def new_show(request: HttpRequest) -> HttpResponse:
    """An empty show, which nobody else sees."""
    shows = list_shows_for_artist(request.user)
    if find_studio() is None:
        messages.info(request, "Say first who the studio is; a show comes next.")
        return redirect("campaign:studio_details")
    form = NewShowForm(request.POST or None, initial=new_show_start(shows))
    if request.method == "POST" and form.is_valid():
        try:
            show = create_show(wish=form.wish)
            messages.success(request, "The show is there. Measure its walls first; nobody but you sees it.")
            return redirect("campaign:measure", show_code=show.code)
        except Refusal as refusal:
            form.add_error(None, refusal.sentence)
    return render(request, "campaign/studio/new_show.html", {"form": form})
