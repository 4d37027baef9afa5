"""URLs of the studio's rooms Print, Send, Hang and Settle."""

from django.urls import URLPattern

app_name = "fulfilment"
urlpatterns: list[URLPattern] = []
