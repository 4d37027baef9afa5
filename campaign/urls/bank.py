"""URLs of the bank's statements in the room Fund."""

from django.urls import path

from campaign.views import bank, bank_line

B = "studio/<slug:show_code>/fund/bank/"
L = f"{B}line/<str:code>/"

urlpatterns = [
    path(B, bank.bank, name="bank"),
    path(f"{B}book/", bank.bank_book, name="bank_book"),
    path(f"{B}columns/<str:code>/", bank.bank_columns, name="bank_columns"),
    path(f"{B}columns/<str:code>/forget/", bank.bank_forget, name="bank_forget"),
    path(f"{B}statement/<str:code>/", bank.bank_statement, name="bank_statement"),
    path(L, bank_line.bank_line, name="bank_line"),
    path(f"{L}order/", bank_line.bank_to_order, name="bank_to_order"),
    path(f"{L}refund/", bank_line.bank_refund, name="bank_refund"),
    path(f"{L}back/", bank_line.bank_back, name="bank_back"),
    path(f"{L}other/", bank_line.bank_other, name="bank_other"),
    path(f"{L}tie/", bank_line.bank_tie, name="bank_tie"),
    path(f"{L}pass/", bank_line.bank_pass, name="bank_pass"),
]
