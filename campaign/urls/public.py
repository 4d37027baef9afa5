"""URLs that need no sign-in."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
