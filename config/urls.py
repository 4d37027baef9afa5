"""The two apps side by side: campaign owns the public page and the studio's first rooms, fulfilment the later ones."""

from django.urls import include, path

urlpatterns = [
    path("", include("fulfilment.urls")),
    path("", include("campaign.urls")),
]
handler500 = "campaign.views.failures.server_error"
