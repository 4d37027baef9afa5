"""URLs of the waiting list: for everybody, behind a private link, and in the studio."""

from django.urls import path

from campaign.views import studio_waiting, waiting

F = "studio/<slug:show_code>/fund/waiting/"

urlpatterns = [
    path("show/<slug:show_code>/waiting/<str:edition_code>/", waiting.waiting_list, name="waiting_list"),
    path("w/<str:token>/", waiting.place_link, name="place_link"),
    path("waiting/<str:code>/", waiting.my_place, name="my_place"),
    path("waiting/<str:code>/order/", waiting.order_kept, name="order_kept"),
    path("waiting/<str:code>/again/", waiting.ask_again, name="ask_again"),
    path("waiting/<str:code>/leave/", waiting.leave_place, name="leave_place"),
    path(F, studio_waiting.waiting, name="waiting"),
    path(f"{F}<str:code>/take-off/", studio_waiting.take_off_list, name="take_off_list"),
]
