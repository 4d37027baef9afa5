"""Markdown of the artist to safe HTML; the only place where typed text becomes markup."""

import nh3
from django.utils.safestring import SafeString, mark_safe
from markdown_it import MarkdownIt

ALLOWED_TAGS = {"p", "em", "strong", "a", "ul", "ol", "li", "blockquote", "h2", "h3", "h4", "hr", "br", "code"}
_markdown = MarkdownIt("js-default", {"html": False, "linkify": False})


def render_markdown(text: str, *, base: str = "") -> SafeString:
    """
    HTML of the Markdown `text`: paragraphs, emphasis, lists, quotes, headings and links (http, https, mailto).

    `base`: the page's own address, for where the words are read elsewhere (mail, feed): short links become whole.
    """
    html = nh3.clean(
        _markdown.render(text),
        tags=ALLOWED_TAGS,
        attributes={"a": {"href"}},
        url_schemes={"http", "https", "mailto"},
        link_rel="noopener nofollow",
        url_relative=("rewrite_with_base", base) if base else "pass_through",
    )
    return mark_safe(html)  # noqa: S308 - cleaned one line above
