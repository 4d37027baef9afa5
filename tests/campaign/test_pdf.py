import copy
import io
import os
import subprocess
import sys
from pathlib import Path

import pdfplumber
import pypdf
import pytest

from campaign import paper_engine, pdf
from campaign.errors import TemporaryFailure

PAGE = """{% extends "pdf/base.html" %}{% block body %}
<h1>{{ title }}</h1><p>{{ words }}</p>{{ more|safe }}{% endblock %}"""


@pytest.fixture(scope="module")
def template_dir(tmp_path_factory):
    folder = tmp_path_factory.mktemp("templates")
    (folder / "page.html").write_text(PAGE, encoding="utf-8")
    return folder


@pytest.fixture
def page(template_dir, settings):
    """A template for these tests only, beside the site's own."""
    templates = copy.deepcopy(settings.TEMPLATES)
    templates[0]["DIRS"] = [template_dir, *templates[0]["DIRS"]]
    settings.TEMPLATES = templates
    return "page.html"


def source(page, *, identifier="test:1", **context):
    return pdf.PdfSource(template=page, context={"title": "A paper", **context}, identifier=identifier)


def text_of(paper):
    with pdfplumber.open(io.BytesIO(paper.pdf)) as document:
        return "\n".join(sheet.extract_text() for sheet in document.pages)


def test_a_template_becomes_a_tagged_pdf_in_our_own_font(page):
    words = "Łódź, Việt Nam, Þórshöfn"
    paper = pdf.render_pdf(template=page, context={"title": "A paper", "words": words}, identifier="test:1")
    assert paper.pages == 1
    assert words in text_of(paper)
    reader = pypdf.PdfReader(io.BytesIO(paper.pdf))
    assert reader.metadata.title == "A paper"
    assert reader.trailer["/Root"]["/MarkInfo"]["/Marked"]
    assert reader.trailer["/Root"]["/Lang"] == "en"
    fonts = [font.get_object()["/BaseFont"] for font in reader.pages[0]["/Resources"]["/Font"].values()]
    assert fonts
    assert all("Noto-Sans" in name for name in fonts)


def test_same_input_gives_the_same_bytes_in_another_process_and_after_other_papers(page):
    fresh = pdf.render_pdfs([source(page, words="one")])[0]
    paper_engine.end_idle()
    other, again = pdf.render_pdfs([source(page, words="Łódź, two", identifier="test:2"), source(page, words="one")])
    warm = pdf.render_pdfs([source(page, words="one")])[0]
    assert fresh.pdf == again.pdf == warm.pdf != other.pdf


def test_a_template_written_as_xml_makes_the_same_paper(template_dir, page):
    as_xml = PAGE.replace("{% block body %}", '{% block doctype %}<?xml version="1.0"?>{% endblock %}{% block body %}')
    (template_dir / "xml.html").write_text(as_xml, encoding="utf-8")
    words = "<b> & \"Łódź\" 😀 'שלום'"
    html, xml = pdf.render_pdfs([source(page, words=words), source("xml.html", words=words)])
    assert html.pdf == xml.pdf
    for odd in ({"words": "one\x0btwo"}, {"more": "<br>three"}):  # what can be typed and XML has no sign for, and HTML
        assert pdf.render_pdf(template="xml.html", context={"title": "A paper", **odd}, identifier="test:1") == (
            pdf.render_pdf(template=page, context={"title": "A paper", **odd}, identifier="test:1")
        )


def test_several_documents_come_back_in_their_order_and_with_their_own_ids(page):
    papers = pdf.render_pdfs([source(page, title=f"Paper {n}", identifier=str(n)) for n in (1, 2, 3)])
    assert [text_of(paper).split("\n")[0] for paper in papers] == ["Paper 1", "Paper 2", "Paper 3"]
    ids = {str(pypdf.PdfReader(io.BytesIO(paper.pdf)).trailer["/ID"][0]) for paper in papers}
    assert len(ids) == 3


def test_values_are_printed_as_typed_and_nothing_outside_the_document_is_opened(page, tmp_path):
    picture = tmp_path / "secret.svg"
    picture.write_text('<svg xmlns="http://www.w3.org/2000/svg" width="90" height="90"><text y="9">secret</text></svg>')
    outside = (
        f'<link rel="stylesheet" href="{picture.as_uri()}"><img alt="x" src="{picture.as_uri()}">'
        '<img alt="y" src="http://127.0.0.1:9/a.png">'
    )
    square = b'<svg xmlns="http://www.w3.org/2000/svg" width="40" height="40"><rect width="40" height="40"/></svg>'
    inside = f'<img alt="a square" src="{pdf.data_uri(square, media_type="image/svg+xml")}">'
    hostile, drawn = pdf.render_pdfs(
        [source(page, words="<script>alert(1)</script>", more=outside), source(page, more=inside)]
    )
    assert "<script>alert(1)</script>" in text_of(hostile)
    assert "secret" not in text_of(hostile)
    with pdfplumber.open(io.BytesIO(drawn.pdf)) as document:
        assert document.pages[0].rects or document.pages[0].curves


def test_a_document_that_takes_too_long_is_a_temporary_failure(page):
    with pytest.raises(TemporaryFailure, match="not finished within 0 seconds") as caught:
        pdf.render_pdf(template=page, context={"title": "A"}, identifier="x", timeout_s=0)
    assert not caught.value.permanent


@pytest.mark.parametrize(
    ("ending", "sentence", "is_permanent"),
    [
        ("raise OSError(\"cannot load library 'libpango-1.0-0'\")", "apt-get install libpango-1.0-0", True),
        ("raise ValueError('broken')", "stopped by itself", False),
    ],
)
def test_an_engine_that_cannot_start_is_one_sentence(page, tmp_path, monkeypatch, ending, sentence, is_permanent):
    # A machine without pango, as the child sees it: the engine's import raises.
    (tmp_path / "weasyprint").mkdir()
    (tmp_path / "weasyprint" / "__init__.py").write_text(ending)
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with pytest.raises(TemporaryFailure, match=sentence) as caught:
        pdf.render_pdfs([source(page)])
    assert caught.value.permanent is is_permanent


def test_the_child_does_not_get_the_sites_secrets(monkeypatch):
    monkeypatch.setenv("WALLFUL_SECRET_KEY", "s" * 60)
    assert not [name for name in paper_engine.child_environment() if name.startswith("WALLFUL_")]


def _waiting():
    return [child._process for child in paper_engine._idle]


def test_a_child_waits_for_more_and_one_that_was_killed_meanwhile_costs_nobody_a_paper(page):
    pdf.render_pdfs([source(page)])
    [child] = _waiting()
    pdf.render_pdfs([source(page)])
    assert _waiting() == [child], "the same one was asked"
    child.kill()
    assert pdf.render_pdfs([source(page)])[0].pages == 1
    [fresh] = _waiting()
    assert fresh.pid != child.pid


def test_as_many_children_as_batches_and_none_is_left_when_the_site_ends(page):
    list(pdf.render_in_turn([[source(page)], [source(page)], [source(page)]], at_once=3))
    waiting = _waiting()
    assert len(waiting) == paper_engine.KEPT
    paper_engine.end_idle()
    assert [child.returncode for child in waiting] == [0, 0]
    assert not _waiting()


def test_the_next_batch_is_made_ready_while_children_are_at_work_and_each_comes_in_its_turn(page):
    asked = []

    def batches():
        for number in range(5):
            asked.append(number)
            yield [
                source(page, title=f"Paper {number}", identifier=f"{number}:{part}") for part in range(1 + number % 2)
            ]

    came = []
    for papers in pdf.render_in_turn(batches(), at_once=2):
        came.append([text_of(paper).split("\n")[0] for paper in papers])
        assert len(asked) <= len(came) + 3, "two under way and one that is ready"
    assert came == [[f"Paper {number}"] * (1 + number % 2) for number in range(5)]
    assert len(_waiting()) == paper_engine.KEPT


def test_a_batch_that_fails_ends_the_others_and_a_caller_may_stop_listening(page, monkeypatch):
    paper_engine.end_idle()
    with pytest.raises(TemporaryFailure):
        list(pdf.render_in_turn([[source(page)]] * 4, at_once=2, timeout_s=0))
    in_turn = pdf.render_in_turn([[source(page)]] * 4, at_once=2)
    assert next(in_turn)[0].pages == 1
    in_turn.close()
    assert len(_waiting()) == paper_engine.KEPT, "what was begun has ended"


def test_a_child_ends_when_nobody_asks_for_a_while(page, monkeypatch):
    paper_engine.end_idle()
    monkeypatch.setattr(paper_engine, "IDLE_S", 0.2)
    pdf.render_pdfs([source(page)])
    [child] = _waiting()
    assert child.wait(20) == 0
    assert pdf.render_pdfs([source(page)])[0].pages == 1, "and the next who asks has a new one"


def test_a_child_that_has_made_many_pages_is_let_go(page, monkeypatch):
    paper_engine.end_idle()
    monkeypatch.setattr(paper_engine, "PAGES_A_CHILD", 2)
    pdf.render_pdfs([source(page), source(page)])
    assert not _waiting()


def test_a_fork_leaves_the_children_to_its_parent(page):
    pdf.render_pdfs([source(page)])
    fork = os.fork()
    if not fork:
        os._exit(len(_waiting()))
    assert os.waitpid(fork, 0)[1] == 0
    assert len(_waiting()) == 1
    assert pdf.render_pdfs([source(page)])[0].pages == 1


def test_importing_the_module_does_not_import_the_engine():
    asked = "import sys, campaign.pdf; sys.exit('weasyprint' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", asked], cwd=Path(pdf.__file__).parent.parent).returncode == 0
