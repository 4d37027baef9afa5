"""URLs of the page Law, of notices that posting is late, and of the answers to them."""

from django.urls import path

from campaign.views import law, my_late, my_withdrawal

F = "studio/<slug:show_code>/fund/"

urlpatterns = [
    path(f"{F}law/", law.law, name="law"),
    path(f"{F}late/", law.late_posting, name="late_posting"),
    path("my/<str:code>/late/", my_late.my_late, name="my_late"),
    path("my/<str:code>/withdraw/", my_withdrawal.my_withdrawal, name="my_withdrawal"),
]
