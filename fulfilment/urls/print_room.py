"""URLs of what is laid out, cut and bought in the room Print."""

from django.urls import path

from fulfilment.views import cutting, paper_stock, print_days, print_list

P = "studio/<slug:show_code>/print/"

urlpatterns = [
    path(f"{P}list/", print_list.print_list, name="print_list"),
    path(f"{P}list/mark/", print_list.mark_wall_prints, name="mark_wall_prints"),
    path(f"{P}cutting/", cutting.cutting, name="cutting"),
    path(f"{P}cutting/lay/", cutting.lay_prints, name="lay_prints"),
    path(f"{P}cutting/mark/", cutting.mark_sheet, name="mark_sheet"),
    path(f"{P}cutting.pdf", cutting.cut_drawings_pdf, name="cut_drawings_pdf"),
    path(f"{P}paper/", paper_stock.paper_stock, name="paper_stock"),
    path(f"{P}paper/roll/", paper_stock.new_roll, name="new_roll"),
    path(f"{P}paper/sheets/", paper_stock.new_sheets, name="new_sheets"),
    path(f"{P}paper/of/<slug:code>/", paper_stock.paper, name="paper"),
    path(f"{P}paper/of/<slug:code>/away/", paper_stock.delete_paper, name="delete_paper"),
    path(f"{P}days/", print_days.print_days, name="print_days"),
    path(f"{P}shopping/", paper_stock.shopping, name="shopping"),
]
