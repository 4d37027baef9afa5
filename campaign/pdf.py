"""
Templates to PDF; the only module that knows WeasyPrint.

WeasyPrint runs in a child process (`python -m campaign.pdf`): its memory goes back when the child ends, a document that
takes too long can be stopped in any kind of worker, and a machine without pango still runs everything else.
"""

import base64
import hashlib
import json
import logging
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string

from campaign.errors import TemporaryFailure

log = logging.getLogger(__name__)
TIMEOUT_S = 150
_NO_ENGINE = 3  # exit status of a child that could not load WeasyPrint
_ROOT = Path(__file__).resolve().parent.parent
_FONTS = _ROOT / "campaign" / "static" / "campaign" / "fonts"
# One plain file a weight: WeasyPrint confuses several files of one family and weight.
_FONT_FILES = ((400, "noto-sans-400.ttf"), (700, "noto-sans-700.ttf"))
MISSING_ENGINE = (
    "Papers need the pango library, which this machine does not have. Debian or Ubuntu: apt-get install "
    "libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0. macOS: brew install pango."
)


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
    Make several documents in one child process, so that engine and fonts are loaded once; order kept.

    Raises: as `render_pdf`.
    """
    return render_side_by_side([sources], timeout_s=timeout_s)[0]


def render_side_by_side(
    batches: Sequence[Sequence[PdfSource]], *, timeout_s: int = TIMEOUT_S
) -> list[list[RenderedPdf]]:
    """
    Each batch in a child process of its own, all at the same time: one for each processor is as fast as it gets.

    Raises: as `render_pdf`, for the first batch that failed, once all have ended.
    """
    # Templates are rendered here, in the thread whose database connection they may ask.
    asked = [_as_request(batch) for batch in batches]
    if len(asked) == 1:
        return [_read_answer(_ask_child(asked[0], timeout_s=timeout_s))]
    with ThreadPoolExecutor(max_workers=max(1, len(asked))) as threads:  # they only wait for their child
        return [_read_answer(answer) for answer in threads.map(lambda one: _ask_child(one, timeout_s=timeout_s), asked)]


def _as_request(sources: Sequence[PdfSource]) -> bytes:
    documents = [
        {"html": render_to_string(source.template, dict(source.context)), "identifier": source.identifier}
        for source in sources
    ]
    return json.dumps(documents).encode()


def _read_answer(answer: bytes) -> list[RenderedPdf]:
    return [RenderedPdf(pdf=base64.b64decode(paper["pdf"]), pages=paper["pages"]) for paper in json.loads(answer)]


def data_uri(content: bytes, *, media_type: str) -> str:
    """`content` as a data: address, the only kind of address a paper may carry."""
    return f"data:{media_type};base64,{base64.b64encode(content).decode()}"


def _ask_child(documents: bytes, *, timeout_s: int) -> bytes:
    try:
        child = subprocess.run(
            [sys.executable, "-m", "campaign.pdf"],
            input=documents,
            capture_output=True,
            timeout=timeout_s,
            cwd=_ROOT,
            env=_child_environment(),
            check=False,
        )
    except subprocess.TimeoutExpired as error:
        raise TemporaryFailure(f"The papers were not finished within {timeout_s} seconds.") from error
    if child.returncode == _NO_ENGINE:
        raise TemporaryFailure(MISSING_ENGINE, permanent=True)
    if child.returncode != 0:
        log.error("paper engine ended with %s: %s", child.returncode, child.stderr.decode(errors="replace")[-2000:])
        raise TemporaryFailure(f"The paper engine stopped by itself (status {child.returncode}); the log says more.")
    return child.stdout


def _child_environment() -> dict[str, str]:
    """The parent's, without the site's secrets, and with what makes fonts come out the same every time."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith("WALLFUL_")}
    return {**kept, "PYTHONHASHSEED": "0", "SOURCE_DATE_EPOCH": "946684800"}


def font_files() -> tuple[Path, ...]:
    """The fonts of every paper, plain and bold."""
    return tuple(_FONTS / name for _, name in _FONT_FILES)


def font_rules() -> str:
    """The style rules that bring these fonts along."""
    return "\n".join(
        f'@font-face {{ font-family: "Noto Sans"; font-weight: {weight}; font-style: normal; '
        f'src: url("{data_uri((_FONTS / file_name).read_bytes(), media_type="font/ttf")}"); }}'
        for weight, file_name in _FONT_FILES
    )


def _write_papers(documents: Sequence[Mapping[str, str]]) -> list[dict[str, object]]:
    """The child's work. Raises: OSError where pango is missing."""
    # Only here: the import itself fails on a machine without pango, and would stop every command.
    from weasyprint import CSS, HTML
    from weasyprint.text.fonts import FontConfiguration
    from weasyprint.urls import URLFetcher

    fetcher = URLFetcher(allowed_protocols={"data"}, allow_redirects=False)
    font_config = FontConfiguration()
    fonts = CSS(string=font_rules(), font_config=font_config, url_fetcher=fetcher)
    papers: list[dict[str, object]] = []
    for document in documents:
        laid_out = HTML(string=document["html"], url_fetcher=fetcher).render(
            stylesheets=[fonts], font_config=font_config
        )
        pdf = laid_out.write_pdf(
            pdf_variant="pdf/ua-1", pdf_identifier=hashlib.sha256(document["identifier"].encode()).digest()[:16]
        )
        papers.append({"pages": len(laid_out.pages), "pdf": base64.b64encode(pdf).decode()})
    return papers


def _child_main() -> int:
    documents = json.load(sys.stdin)
    try:
        papers = _write_papers(documents)
    except OSError as error:
        if "load library" not in str(error):
            raise
        return _NO_ENGINE
    json.dump(papers, sys.stdout)
    return 0


if __name__ == "__main__":
    sys.exit(_child_main())
