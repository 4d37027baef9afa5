"""URLs of the studio's rooms Measure and Fund."""

from django.urls import URLPattern

urlpatterns: list[URLPattern] = []
