"""The other sides of the papers' bench: each page a document of its own, and the same pages drawn with reportlab."""

import io
from time import perf_counter
from typing import Any


def render_each(parcels: list[Any], *, show: Any) -> float:
    """
    A slip and a label of each parcel, each with WeasyPrint's plain `write_pdf`; documents a second.

    No process is started: that would count against it.
    """
    from django.template.loader import render_to_string
    from weasyprint import HTML
    from weasyprint.urls import URLFetcher

    from campaign.pdf import font_rules
    from fulfilment.pdf import paper_sources

    fonts = f"<style>{font_rules()}</style>"
    seconds, documents = 0.0, 0
    for parcel in parcels:
        for source in paper_sources([parcel], show=show)[:2]:
            html = render_to_string(source.pdf.template, dict(source.pdf.context)).replace(
                "<style>", fonts + "<style>", 1
            )
            started = perf_counter()
            fetcher = URLFetcher(allowed_protocols={"data", "file"}, allow_redirects=False)
            assert HTML(string=html, url_fetcher=fetcher).write_pdf(pdf_variant="pdf/ua-1")
            seconds, documents = seconds + perf_counter() - started, documents + 1
    return documents / seconds


def draw_with_reportlab(parcels: list[Any], *, show: Any) -> bytes:
    """A slip and a label of each parcel with the same words, codes and fonts, as two documents."""
    from reportlab.lib.pagesizes import A4
    from reportlab.lib.units import mm
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont
    from reportlab.pdfgen.canvas import Canvas

    from campaign.models import Studio
    from campaign.pdf import font_files
    from fulfilment.pdf import postal_lines

    for name, path in zip(("Plain", "Bold"), font_files(), strict=True):
        pdfmetrics.registerFont(TTFont(name, str(path)))
    studio = Studio.objects.get(pk=1)
    slips, labels = io.BytesIO(), io.BytesIO()
    sheets = (Canvas(slips, pagesize=A4), Canvas(labels, pagesize=(101.6 * mm, 152.4 * mm)))
    for parcel in parcels:
        lines = postal_lines(parcel, sender_country=show.country)
        _draw_slip(sheets[0], parcel, lines=lines, studio=studio, show=show)
        _draw_label(sheets[1], parcel, lines=lines, studio=studio)
    for sheet in sheets:
        sheet.save()
    return slips.getvalue() + labels.getvalue()


def _draw_code(canvas: Any, parcel: Any, *, x: float, y: float, height: float) -> None:
    from reportlab.lib.units import mm
    from reportlab.lib.utils import ImageReader

    from campaign.symbols import code128_png
    from fulfilment.packing import bar_width_mm

    symbol = code128_png(parcel.code)
    width = bar_width_mm(symbol.width_modules) * mm
    canvas.drawImage(ImageReader(io.BytesIO(symbol.png)), x, y, width=width, height=height)


def _draw_square(canvas: Any, parcel: Any, *, x: float, y: float) -> None:
    from reportlab.lib.units import mm
    from reportlab.lib.utils import ImageReader

    from campaign.symbols import qr_png
    from fulfilment.pdf import QR_MODULE_MM

    square = qr_png(parcel.code)
    side = square.width_modules * QR_MODULE_MM * mm
    canvas.drawImage(ImageReader(io.BytesIO(square.png)), x, y, width=side, height=side)


def _draw_lines(canvas: Any, lines: Any, *, x: float, y: float, size: float, font: str = "Plain") -> float:
    canvas.setFont(font, size)
    for line in lines:
        canvas.drawString(x, y, line)
        y -= 1.35 * size
    return y


def _write(canvas: Any, words: str, *, x: float, y: float, width: float, size: float) -> float:
    """Words that may need several lines; where the next ones begin."""
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph

    style = ParagraphStyle("words", fontName="Plain", fontSize=size, leading=1.35 * size)
    paragraph = Paragraph(words, style)
    _, height = paragraph.wrap(width, 10_000)
    paragraph.drawOn(canvas, x, y - height)
    return y - height


def _draw_slip(canvas: Any, parcel: Any, *, lines: Any, studio: Any, show: Any) -> None:
    from reportlab.lib.units import mm

    copies = [row.copy for row in parcel.parcel_copies.all()]
    left, top = 18 * mm, 280 * mm
    _draw_lines(canvas, [studio.artist_name], x=left, y=top, size=17)
    about = studio.address.replace("\n", ", ") + "<br/>" + studio.email
    _write(canvas, about, x=left, y=top - 8 * mm, width=100 * mm, size=8.5)
    _draw_code(canvas, parcel, x=130 * mm, y=top - 11 * mm, height=11 * mm)
    _draw_lines(canvas, [parcel.code], x=160 * mm, y=top - 14 * mm, size=8.5)
    _draw_square(canvas, parcel, x=178 * mm, y=top - 29 * mm)
    canvas.line(left, top - 30 * mm, 192 * mm, top - 30 * mm)
    _draw_lines(canvas, [f"Packing slip, parcel {parcel.number}"], x=left, y=top - 42 * mm, size=20)
    _write(canvas, "<br/>".join(lines), x=left, y=top - 50 * mm, width=92 * mm, size=11)
    _draw_lines(canvas, ["Order", "Show", "Inside"], x=118 * mm, y=top - 54 * mm, size=9.5)
    orders = sorted({copy.pledge.code for copy in copies})
    facts = [", ".join(orders), show.title, f"{len(copies)} prints, {parcel.mass_g} g packed"]
    _draw_lines(canvas, facts, x=144 * mm, y=top - 54 * mm, size=9.5)
    y = _draw_contents(canvas, copies, x=left, y=top - 84 * mm) - 8 * mm
    for at, words in enumerate(("Flat between boards", "Corners covered", "Damp-proof wrap", "Slip in, label on")):
        x = left + at * 43.5 * mm
        canvas.rect(x, y, 3.6 * mm, 3.6 * mm)
        _draw_lines(canvas, [words], x=x + 7 * mm, y=y, size=9)
    thanks = (
        f"Thank you for ordering ahead. Prints like this one paid for the walls of {show.title}, {show.venue_name}."
    )
    y = _write(canvas, thanks, x=left, y=y - 8 * mm, width=174 * mm, size=11.5)
    care = "Open the parcel flat on a clean, dry table and lift the print by its edges with clean hands. "
    _write(canvas, care * 4, x=left, y=y - 4 * mm, width=174 * mm, size=8.5)
    canvas.showPage()


def _draw_contents(canvas: Any, copies: Any, *, x: float, y: float) -> float:
    from reportlab.lib.units import mm
    from reportlab.platypus import Table

    rows = [
        ["", f"{copy.number}/{copy.edition.size}", f"{copy.edition.title}, {copy.edition.paper}"] for copy in copies
    ]
    styles = [("FONTNAME", (0, 0), (-1, -1), "Plain"), ("LINEBELOW", (0, 0), (-1, -1), 0.3, "black")]
    table = Table(rows, colWidths=[9 * mm, 25 * mm, 140 * mm], style=styles)
    _, height = table.wrap(174 * mm, 10_000)
    table.drawOn(canvas, x, y - height)
    return y - height


def _draw_label(canvas: Any, parcel: Any, *, lines: Any, studio: Any) -> None:
    from reportlab.lib.units import mm

    left, top = 5.3 * mm, 146 * mm
    sender = "From<br/>" + "<br/>".join(studio.address.splitlines())
    _write(canvas, sender, x=left, y=top, width=54 * mm, size=8)
    _draw_lines(canvas, [str(parcel.number)], x=75 * mm, y=top - 12 * mm, size=34)
    about = ["Tideline", f"{len(parcel.parcel_copies.all())} prints, {parcel.mass_g} g"]
    _draw_lines(canvas, about, x=75 * mm, y=top - 18 * mm, size=7)
    for y in (29, 101, 131):
        canvas.line(left, top - y * mm, left + 91 * mm, top - y * mm)
    _write(canvas, "<br/>".join(lines), x=left, y=top - 35 * mm, width=89 * mm, size=16)
    _draw_code(canvas, parcel, x=left, y=top - 122 * mm, height=17 * mm)
    _draw_lines(canvas, [parcel.code], x=left, y=top - 127 * mm, size=9)
    care = "Art prints, flat. Please do not bend; keep dry."
    _write(canvas, care, x=left, y=top - 133 * mm, width=91 * mm, size=8.5)
    canvas.showPage()
