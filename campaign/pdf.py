"""
Templates to PDF; the only module that knows WeasyPrint.

WeasyPrint runs in a child process (`python -m campaign.pdf`): its memory goes back when the child ends, a document that
takes too long can be stopped in any kind of worker, and a machine without pango still runs everything else. A child
that has done its work waits a minute for more (`paper_engine.py`), since to start one takes as long as twenty slips.
"""

import base64
import contextlib
import gc
import hashlib
import json
import select
import sys
from collections import deque
from collections.abc import Callable, Generator, Iterable, Mapping, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from django.template.loader import render_to_string

from campaign import paper_engine

TIMEOUT_S = 150
_XML = "<?xml "
_ROOT = Path(__file__).resolve().parent.parent
_FONTS = _ROOT / "campaign" / "static" / "campaign" / "fonts"
# One plain file a weight: WeasyPrint confuses several files of one family and weight.
_FONT_FILES = ((400, "noto-sans-400.ttf"), (700, "noto-sans-700.ttf"))


@dataclass(frozen=True, slots=True)
class PdfSource:
    """A document to make: its template, what the template may say, and a name that stays the same for the same row."""

    template: str
    context: Mapping[str, Any]
    identifier: str


@dataclass(frozen=True, slots=True)
class RenderedPdf:
    """A finished document."""

    pdf: bytes
    pages: int


def render_pdf(
    *, template: str, context: Mapping[str, Any], identifier: str, timeout_s: int = TIMEOUT_S
) -> RenderedPdf:
    """
    Make one tagged PDF (PDF/UA-1) from a template that extends pdf/base.html.

    Same template, context and identifier give the same bytes on the same machine.
    Raises: TemporaryFailure, permanent where the machine lacks pango; its message is one sentence.
    """
    source = PdfSource(template=template, context=context, identifier=identifier)
    return render_pdfs([source], timeout_s=timeout_s)[0]


def render_pdfs(sources: Sequence[PdfSource], *, timeout_s: int = TIMEOUT_S) -> list[RenderedPdf]:
    """
    Make several documents in one child process; order kept.

    Raises: as `render_pdf`.
    """
    return _ask_child(_as_requests(sources), timeout_s=timeout_s)


def render_in_turn(
    batches: Iterable[Sequence[PdfSource]], *, at_once: int, timeout_s: int = TIMEOUT_S
) -> Generator[list[RenderedPdf], None, None]:
    """
    Make `at_once` batches at the same time, each in a child of its own: one for each processor is as fast as it gets.

    Yields each batch in its turn. While children are at work the next batch is asked for, so that it is ready when one
    of them is free: what `batches` reads and what the caller does with a batch take no time of their own.
    Raises: as `render_pdf`, for the first batch that failed, once what had been begun has ended.
    """
    threads = ThreadPoolExecutor(max_workers=at_once)  # they only wait for their child
    under_way: deque[Future[list[RenderedPdf]]] = deque()
    try:
        for sources in batches:
            asked = _as_requests(sources)  # here, in the thread whose database connection a template may ask
            if len(under_way) > at_once:
                yield under_way.popleft().result()
            under_way.append(threads.submit(_ask_child, asked, timeout_s=timeout_s))
        while under_way:
            yield under_way.popleft().result()
    finally:
        threads.shutdown(cancel_futures=True)


def _as_requests(sources: Sequence[PdfSource]) -> list[bytes]:
    return [_as_request(source) for source in sources]


def _as_request(source: PdfSource) -> bytes:
    html = render_to_string(source.template, dict(source.context))
    return json.dumps({"html": html, "identifier": source.identifier}).encode()


def _ask_child(documents: Sequence[bytes], *, timeout_s: int) -> list[RenderedPdf]:
    made = paper_engine.make(documents, timeout_s=timeout_s)
    return [RenderedPdf(pdf=base64.b64decode(paper["pdf"]), pages=paper["pages"]) for paper in made]


def data_uri(content: bytes, *, media_type: str) -> str:
    """`content` as a data: address, the only kind of address a paper may carry."""
    return f"data:{media_type};base64,{base64.b64encode(content).decode()}"


def font_files() -> tuple[Path, ...]:
    """The fonts of every paper, plain and bold."""
    return tuple(_FONTS / name for _, name in _FONT_FILES)


def font_rules() -> str:
    """The style rules that bring these fonts along from where they lie; as `data:` they take longer than a slip."""
    return "\n".join(
        f'@font-face {{ font-family: "Noto Sans"; font-weight: {weight}; font-style: normal; '
        f'src: url("{(_FONTS / file_name).as_uri()}"); }}'
        for weight, file_name in _FONT_FILES
    )


def _paper_maker() -> Callable[[Mapping[str, str]], dict[str, object]]:
    """What makes a paper of a document, in the child. Raises: OSError where pango is missing."""
    # Only here: the import itself fails on a machine without pango, and would stop every command.
    from cssselect2 import ElementWrapper
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher

    font_config = FontConfiguration()
    own_files = URLFetcher(allowed_protocols={"file"}, allow_redirects=False)
    fonts = CSS(string=font_rules(), font_config=font_config, url_fetcher=own_files)
    fetcher = URLFetcher(allowed_protocols={"data"}, allow_redirects=False)

    def parse(html: str) -> HTML:
        if html.startswith(_XML):
            with contextlib.suppress(ElementTree.ParseError):  # typed text may hold what XML has no sign for
                return from_tree(ElementTree.fromstring(html))  # noqa: S314, from our templates, values escaped
        return HTML(string=html, url_fetcher=fetcher)

    def from_tree(root: ElementTree.Element) -> HTML:
        """What the library makes of a page, without its own reader of HTML: a twentieth of all work on a slip."""
        page = HTML.__new__(HTML)
        page.base_url, page.url_fetcher, page.media_type = None, fetcher, "print"
        page.wrapper_element = ElementWrapper.from_html_root(root, content_language=None)
        page.etree_element = page.wrapper_element.etree_element
        return page

    def make(document: Mapping[str, str]) -> dict[str, object]:
        laid_out = parse(document["html"]).render(stylesheets=[fonts], font_config=font_config)
        pdf = laid_out.write_pdf(
            pdf_variant="pdf/ua-1", pdf_identifier=hashlib.sha256(document["identifier"].encode()).digest()[:16]
        )
        return {"pages": len(laid_out.pages), "pdf": base64.b64encode(pdf).decode()}

    return make


def _child_main(idle_s: float) -> int:
    """Answer each line of the input with one, until it ends or nothing has come for `idle_s`."""
    try:
        make = _paper_maker()
    except OSError as error:
        if "load library" not in str(error):
            raise
        return paper_engine.NO_ENGINE
    # Pages are made of circles of objects. Looking for those again and again while a document grows costs a sixth of
    # the time; once after each, while the parent stores what was answered, is enough.
    gc.disable()
    gc.freeze()
    while select.select([sys.stdin], [], [], idle_s)[0] and (line := sys.stdin.buffer.readline()):
        sys.stdout.write(json.dumps(make(json.loads(line))) + "\n")
        sys.stdout.flush()
        gc.collect()
    return 0


if __name__ == "__main__":
    sys.exit(_child_main(float(sys.argv[1])))
