"""URLs of the campaign: what everybody may open, and the studio's rooms. Random codes, never primary keys."""

from campaign.urls import (
    bank,
    cards,
    change_requests,
    ending,
    funders,
    law,
    public,
    schedule,
    studio,
    waiting,
    watching,
)

app_name = "campaign"
urlpatterns = [
    *public.urlpatterns,
    *studio.urlpatterns,
    *funders.urlpatterns,
    *watching.urlpatterns,
    *waiting.urlpatterns,
    *schedule.urlpatterns,
    *ending.urlpatterns,
    *law.urlpatterns,
    *bank.urlpatterns,
    *cards.urlpatterns,
    *change_requests.urlpatterns,
]
