"""URLs of the campaign."""

app_name = "campaign"
urlpatterns: list[object] = []
