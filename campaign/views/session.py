"""Signing in to the studio and out of it; django-axes counts the failures."""

from django.contrib.auth.views import LoginView, LogoutView

from campaign.forms.session import SignInForm

sign_in = LoginView.as_view(
    template_name="campaign/sign_in.html", authentication_form=SignInForm, redirect_authenticated_user=True
)
sign_out = LogoutView.as_view()
