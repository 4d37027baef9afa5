"""Signing in to the studio and out of it, and the second factor; django-axes counts the failures."""

import django_otp
from django.contrib import messages
from django.contrib.auth.decorators import login_required
from django.contrib.auth.views import LoginView, LogoutView
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods

from campaign.access import is_artist, is_helper
from campaign.errors import Refusal
from campaign.forms.session import CodeForm, SignInForm
from campaign.services import accounts
from campaign.symbols import qr_png
from campaign.views.pictures import picture_of

sign_in = LoginView.as_view(
    template_name="campaign/sign_in.html", authentication_form=SignInForm, redirect_authenticated_user=True
)
sign_out = LogoutView.as_view()


@never_cache
@login_required
@require_http_methods(["GET", "POST"])
def second_factor(request: HttpRequest) -> HttpResponse:
    """How it stands; a POST begins it, confirms it with a code, or switches it off with one."""
    if not (is_artist(request.user) or is_helper(request.user)):
        raise Http404
    act = request.POST.get("act", "")
    form = CodeForm(request.POST if act in ("confirm", "off") else None)
    try:
        if act == "begin":
            accounts.begin_factor(user=request.user)
        elif act == "off" and form.is_valid():
            accounts.drop_factor(user=request.user, code=form.cleaned_data["code"])
            messages.success(request, "The second factor is off: name and password are enough again.")
            return redirect("campaign:second_factor")
        elif act == "confirm" and form.is_valid():
            return _confirmed(request, code=form.cleaned_data["code"])
    except Refusal as refusal:
        form.add_error("code", refusal.sentence) if form.is_bound else messages.error(request, refusal.sentence)
    return _page(request, form=form)


def _confirmed(request: HttpRequest, *, code: str) -> HttpResponse:
    key = request.session.session_key or ""
    device, spare = accounts.confirm_factor(user=request.user, code=code, session_key=key)
    django_otp.login(request, device)
    return render(request, "campaign/spare_codes.html", {"spare": spare})


def _page(request: HttpRequest, *, form: CodeForm) -> HttpResponse:
    factor = accounts.read_factor(request.user)
    picture = picture_of(qr_png(factor.address)) if factor.address else None
    return render(request, "campaign/second_factor.html", {"factor": factor, "picture": picture, "form": form})
