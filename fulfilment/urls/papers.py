"""URLs of papers made on demand in the room Send."""

from django.urls import path

from fulfilment.views import papers

P = "studio/<slug:show_code>/send/"

urlpatterns = [
    path(f"{P}papers/", papers.papers, name="papers"),
    path(f"{P}papers.pdf", papers.papers_pdf, name="papers_pdf"),
    path(f"{P}papers/sheet/", papers.label_sheet, name="label_sheet"),
]
