"""URLs of sponsors and grants."""

from django.urls import path

from campaign.views import funders

F = "studio/<slug:show_code>/fund/funders/"

urlpatterns = [
    path(F, funders.funders, name="funders"),
    path(f"{F}new/", funders.new_funder, name="new_funder"),
    path(f"{F}<str:code>/", funders.funder, name="funder"),
    path(f"{F}<str:code>/money/", funders.funder_money, name="funder_money"),
    path(f"{F}<str:code>/take-out/", funders.delete_funder, name="delete_funder"),
    path(f"{F}<str:code>/prospectus.pdf", funders.prospectus, name="prospectus"),
]
