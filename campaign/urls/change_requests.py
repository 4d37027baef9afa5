"""URLs of late changes (asking on the backer's own page, answering in the room Fund) and of withdrawing that page."""

from django.urls import path

from campaign.views import change_requests, withdraw_link

FUND = "studio/<slug:show_code>/fund/"
F = f"{FUND}requests/"

urlpatterns = [
    path("my/<str:code>/ask/", change_requests.my_request, name="my_request"),
    path(F, change_requests.change_requests, name="change_requests"),
    path(f"{F}<uuid:key>/", change_requests.change_request, name="change_request"),
    path(f"{FUND}pledges/<str:code>/withdraw-link/", withdraw_link.withdraw_link, name="withdraw_link"),
]
