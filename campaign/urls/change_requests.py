"""URLs of late changes: asking on the backer's own page, answering in the room Fund."""

from django.urls import path

from campaign.views import change_requests

F = "studio/<slug:show_code>/fund/requests/"

urlpatterns = [
    path("my/<str:code>/ask/", change_requests.my_request, name="my_request"),
    path(F, change_requests.change_requests, name="change_requests"),
    path(f"{F}<uuid:key>/", change_requests.change_request, name="change_request"),
]
