"""How a transfer is made: the codes for banking apps on a backer's page, and the Swiss bill to print."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.errors import TemporaryFailure
from campaign.pdf import data_uri, render_pdf
from campaign.queries.my_order import MyOrder, read_my_order
from campaign.references import PaymentDetailError
from campaign.swiss_bill import SwissBill, make_bill, payee_of
from campaign.symbols import SymbolError, epc_qr_png
from campaign.views.papers import pdf_answer
from campaign.views.pictures import picture_of
from campaign.views.visits import of_backer


def payment_codes(mine: MyOrder) -> dict[str, Any]:
    """`qr`, the code of a transfer in EUR, and `bill`, the Swiss one; each only where banking apps can read it."""
    bill = _swiss_bill(mine)
    shown = {"src": data_uri(bill.code_svg, media_type="image/svg+xml"), "payee": bill.payee} if bill else None
    return {"qr": _transfer_qr(mine), "bill": shown}


@of_backer("GET")
def my_bill(request: HttpRequest, pledge: Any) -> HttpResponse:
    """The Swiss bill with payment part and receipt, on a sheet to print."""
    mine = read_my_order(pledge, now=timezone.now())
    bill = _swiss_bill(mine)
    if bill is None:
        context = {"sentence": "There is no Swiss bill for this order now.", "show": pledge.show, "studio": mine.studio}
        return render(request, "campaign/public/link_needed.html", context, status=404)
    picture = data_uri(bill.svg, media_type="image/svg+xml")
    context = {"mine": mine, "pledge": pledge, "show": pledge.show, "studio": mine.studio, "picture": picture}
    context |= {"title": f"Bill {pledge.reference}", "lang": "en"}
    try:
        made = render_pdf(
            template="pdf/swiss_bill.html", context=context, identifier=f"bill:{pledge.code}:{mine.missing_minor}"
        )
    except TemporaryFailure as failure:
        messages.error(request, str(failure))
        return redirect("campaign:my_pledge", code=pledge.code)
    return pdf_answer(made.pdf, name=f"{pledge.reference}.pdf")


def _transfer_qr(mine: MyOrder) -> dict[str, Any] | None:
    """A picture of the transfer that is still to be made; None where banking apps could not read one."""
    pledge, studio = mine.pledge, mine.studio
    if pledge.way != "transfer" or mine.missing_minor == 0:
        return None
    try:
        symbol = epc_qr_png(
            name=studio.account_holder or studio.artist_name, iban=studio.iban, bic=studio.bic,
            amount_minor=mine.missing_minor, currency=pledge.currency, reference=pledge.reference,
        )  # fmt: skip
    except (PaymentDetailError, SymbolError):
        return None
    return picture_of(symbol)


def _swiss_bill(mine: MyOrder) -> SwissBill | None:
    """The bill over what is still to be paid; None where the account, the currency or the address do not allow one."""
    pledge, studio = mine.pledge, mine.studio
    if pledge.way != "transfer" or mine.missing_minor == 0 or pledge.state != "held":
        return None
    try:
        return make_bill(
            payee=payee_of(studio.address, name=studio.account_holder or studio.artist_name), iban=studio.iban,
            amount_minor=mine.missing_minor, currency=pledge.currency, reference=pledge.reference,
            text=pledge.show.title, language=pledge.show.locale[:2],
        )  # fmt: skip
    except PaymentDetailError:
        return None
