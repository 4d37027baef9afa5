"""The edition register, and certificates: what they say, for whom they are, as papers."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.forms.models import model_to_dict
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from campaign.access import get_edition, get_studio
from campaign.errors import Refusal, TemporaryFailure
from campaign.measures.words import count_of
from campaign.views.papers import pdf_answer
from campaign.views.rooms import room, workroom
from fulfilment.forms.printing import CopiesForm
from fulfilment.forms.register import CertificatesForm, FactsForm
from fulfilment.queries.certificates import certificate_lines, find_facts, list_batches, list_valid
from fulfilment.queries.register import read_register
from fulfilment.services import proofs
from fulfilment.services.certificate_papers import MOST, begin_certificates, make_certificates, make_register
from fulfilment.services.certificates import issue_certificates, save_facts, void_certificates

PROOF_ACTS = {
    "printed": "marked as printed", "signed": "marked as signed", "spoiled": "spoiled, to be printed again",
    "not_printed": "back to be printed", "not_signed": "back to be signed",
}  # fmt: skip


@workroom("GET")
def register(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Every number of an edition; whose it is, for the artist alone."""
    edition = get_edition(show=show, code=code)
    return _register_page(request, show=show, edition=edition, form=CopiesForm(edition=edition, of_proofs=True))


def _register_page(request: HttpRequest, *, show: Any, edition: Any, form: CopiesForm) -> HttpResponse:
    context = {"show": show, "room": "print", "edition": edition, "register": read_register(edition), "form": form}
    return render(request, "fulfilment/register.html", context)


@workroom("POST")
def mark_proofs(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Artist's proofs as printed, signed or spoiled, or a mark taken back."""
    edition = get_edition(show=show, code=code)
    form = CopiesForm(request.POST, edition=edition, of_proofs=True)
    act = next((act for act in PROOF_ACTS if act in request.POST), "printed")
    if form.is_valid():
        values = form.cleaned_data
        try:
            count = proofs.mark_proofs(
                edition=edition, numbers=values["chosen"], act=act, note=values["note"],
                by=request.user.get_username(), request_key=values["request_key"], now=timezone.now(),
            )  # fmt: skip
        except Refusal as refusal:
            form.add_error("numbers", refusal.sentence)
        else:
            messages.success(request, f"{count_of(count, 'proof')} {PROOF_ACTS[act]}.")
            return redirect("fulfilment:register", show_code=show.code, code=code)
    return _register_page(request, show=show, edition=edition, form=form)


@room("GET")
def register_pdf(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """The register as a paper for the archive."""
    edition = get_edition(show=show, code=code)
    return _paper(
        request, lambda: make_register(edition=edition).pdf, name=f"register-{show.code}-{code}.pdf",
        back=("fulfilment:register", show.code, code),
    )  # fmt: skip


@room("GET", "POST")
def certificate_text(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """What is known of an edition, how the certificate says it, and which copies have one."""
    edition = get_edition(show=show, code=code)
    form = FactsForm(request.POST) if request.method == "POST" else None
    if form and form.is_valid():
        save_facts(edition=edition, facts=form.cleaned_data)
        messages.success(request, "Kept. Certificates made from now on say this.")
        return redirect("fulfilment:certificate_text", show_code=show.code, code=code)
    return _certificates_page(request, show=show, edition=edition, form=form)


@room("POST")
def certificates(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """Issue certificates, or void some."""
    edition = get_edition(show=show, code=code)
    form = CertificatesForm(request.POST, edition=edition)
    is_void = "void" in request.POST
    if form.is_valid() and is_void and not form.cleaned_data["numbers"]:
        form.add_error("numbers", "Write which ones are to be void, like 1-12, 15.")
    if form.is_valid():
        act = void_certificates if is_void else issue_certificates
        try:
            count = act(edition=edition, numbers=form.cleaned_data["numbers"], now=timezone.now())
        except Refusal as refusal:
            form.add_error("numbers", refusal.sentence)
        else:
            messages.success(request, f"{count_of(count, 'certificate')} {'void now' if is_void else 'issued'}.")
            return redirect("fulfilment:certificate_text", show_code=show.code, code=code)
    return _certificates_page(request, show=show, edition=edition, issue=form)


def _certificates_page(
    request: HttpRequest,
    *,
    show: Any,
    edition: Any,
    form: FactsForm | None = None,
    issue: CertificatesForm | None = None,
) -> HttpResponse:
    facts = find_facts(edition)
    numbers = [certificate.copy.number for certificate in list_valid(edition)]
    parts = [numbers[start : start + MOST] for start in range(0, len(numbers), MOST)]
    context = {
        "show": show, "room": "print", "edition": edition, "form": form or FactsForm(initial=model_to_dict(facts)),
        "issue": issue or CertificatesForm(edition=edition), "facts": facts, "valid": len(numbers),
        "lines": certificate_lines(edition, facts=facts, studio=get_studio()),
        "parts": [(part[0], part[-1], len(part)) for part in parts], "batches": list_batches(edition),
    }  # fmt: skip
    return render(request, "fulfilment/certificates.html", context)


@room("POST")
def certificate_papers(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """A job makes the papers of all certificates that hold; its page shows how far it is."""
    edition = get_edition(show=show, code=code)
    try:
        job = begin_certificates(edition=edition, numbers=(), now=timezone.now())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("fulfilment:certificate_text", show_code=show.code, code=code)
    return redirect("campaign:job", show_code=show.code, code=job.code)


@room("GET")
def certificates_pdf(request: HttpRequest, show: Any, code: str) -> HttpResponse:
    """The certificates of the numbers asked for, a page each."""
    edition = get_edition(show=show, code=code)
    form = CertificatesForm(request.GET, edition=edition)
    back = ("fulfilment:certificate_text", show.code, code)
    chosen = list_valid(edition, numbers=form.cleaned_data["numbers"]) if form.is_valid() else []
    if not chosen or len(chosen) > MOST:
        messages.error(request, f"Choose 1 to {MOST} copies that have a certificate, by numbers like 1-12, 15.")
        return _certificates_page(request, show=show, edition=edition)
    span = f"{chosen[0].copy.number:03}-{chosen[-1].copy.number:03}"
    return _paper(
        request, lambda: make_certificates(chosen, edition=edition).pdf,
        name=f"certificates-{show.code}-{code}-{span}.pdf", back=back,
    )  # fmt: skip


def _paper(request: HttpRequest, make: Callable[[], bytes], *, name: str, back: tuple[str, str, str]) -> HttpResponse:
    try:
        pdf = make()
    except TemporaryFailure as failure:
        messages.error(request, str(failure))
        return redirect(back[0], show_code=back[1], code=back[2])
    return pdf_answer(pdf, name=name)
