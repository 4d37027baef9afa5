"""What the attack on forms counts as an unescaped echo, and what it does not."""

import pytest

from tests.faults.hostile import raw_in


@pytest.mark.parametrize(
    "html",
    [
        "<p><script>zq7()</script>",
        "<img src=x onerror=zq7()>",
        '<input value="" onmouseover="zq7()">',
        "<p title='' onfocus='zq7()'>",
        '<a href=" javascript:zq7()">',
        "<a href='vbscript:zq7'>",
        "<A HREF='VbScript:zq7'>",
        '<IMG SRC="x" ONERROR = zq7()>',
        '<img src="data:text/html,zq7">',
        "7919 × 7907 is 62615533",
    ],
)
def test_what_a_browser_would_run_or_follow_is_found(html):
    assert list(raw_in(html.encode()))


@pytest.mark.parametrize(
    "html",
    [
        "&lt;script>zq7()&lt;/script>",
        '<p>" onmouseover="zq7()',
        "<p>&lt;a href='vbscript:zq7'&gt;x&lt;/a&gt;",
        "<textarea>javascript:zq7()</textarea>",
        '<input value="javascript:zq7()" name="x">',
        '<script src="/static/x.js"></script> javascript:',
    ],
)
def test_the_same_words_as_text_are_no_fault(html):
    assert not list(raw_in(html.encode()))
