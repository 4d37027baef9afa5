"""URLs of fulfilment."""

app_name = "fulfilment"
urlpatterns: list[object] = []
