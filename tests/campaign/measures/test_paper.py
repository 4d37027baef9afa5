import pytest

from campaign.measures.paper import parse_paper_mm, sheet_mm


@pytest.mark.parametrize("series", "abc")
@pytest.mark.parametrize("number", range(10))
def test_next_size_is_half_the_sheet(series, number):
    width, height = sheet_mm(series, number)
    assert sheet_mm(series, number + 1) == (height // 2, width)
    assert width < height


@pytest.mark.parametrize("text", ["", "A", "A11", "D4", "A3++", "B3+", "A3 sideways", "60 x 40"])
def test_other_words_are_no_sheet(text):
    assert parse_paper_mm(text) is None


def test_sheet_stands_upright_unless_landscape_is_written():
    assert parse_paper_mm("A2") == parse_paper_mm("A2 portrait") == parse_paper_mm("a2 upright") == (420, 594)
    assert parse_paper_mm("A2, landscape") == (594, 420)
