"""A paper engine that is quick, broken or missing: what stands in for WeasyPrint where papers are not looked at."""

import pytest

# The names that the PDF door imports; one page a section, so that page counts mean something.
PLAIN = """
class CSS:
    def __init__(self, string, font_config, url_fetcher): pass
class HTML:
    def __init__(self, string, url_fetcher):
        self.pages = [None] * string.count("<section")
    def render(self, stylesheets, font_config):
        if not hasattr(self, "pages"):  # made of a tree
            self.pages = list(self.etree_element.iter("section"))
        return self
    def write_pdf(self, pdf_variant, pdf_identifier):
        return b"%PDF-1.7 " + pdf_identifier
class FontConfiguration: pass
class URLFetcher:
    def __init__(self, allowed_protocols, allow_redirects): pass
"""
ENGINES = {
    "plain": PLAIN,
    "broken": "raise ValueError('broken')",
    "missing": "raise OSError(\"cannot load library 'libpango-1.0-0'\")",
}


@pytest.fixture
def engine(tmp_path, monkeypatch):
    """Call it with plain, broken or missing; the child process of the PDF door finds that one first."""
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")

    def choose(kind):
        folder = tmp_path / kind  # another place, another environment: a child that waits with the last one is let go
        package = folder / "weasyprint"
        (package / "text").mkdir(parents=True, exist_ok=True)
        (package / "text" / "__init__.py").write_text("")
        (package / "text" / "fonts.py").write_text("from weasyprint import FontConfiguration")
        (package / "urls.py").write_text("from weasyprint import URLFetcher")
        (package / "__init__.py").write_text(ENGINES[kind])
        monkeypatch.setenv("PYTHONPATH", str(folder))

    choose("plain")
    return choose
