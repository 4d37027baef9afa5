"""URLs of papers made on demand in the room Send, and of the job that makes certificates."""

from django.urls import path

from fulfilment.views import papers, register

S = "studio/<slug:show_code>/"

urlpatterns = [
    path(f"{S}send/papers/", papers.papers, name="papers"),
    path(f"{S}send/papers.pdf", papers.papers_pdf, name="papers_pdf"),
    path(f"{S}send/papers/sheet/", papers.label_sheet, name="label_sheet"),
    path(f"{S}send/papers/line/", papers.slip_line, name="slip_line"),
    path(f"{S}print/of/<str:code>/certificates/papers/", register.certificate_papers, name="certificate_papers"),
]
