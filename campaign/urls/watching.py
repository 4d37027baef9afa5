"""URLs of watching the campaign."""

from django.urls import path

from campaign.views import watching

urlpatterns = [path("studio/<slug:show_code>/fund/course/", watching.watching, name="watching")]
