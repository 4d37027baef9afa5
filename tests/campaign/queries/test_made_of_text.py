"""What was made of a text is made once, until other texts were read in between."""

from campaign.queries.made_of_text import MadeOfText


def _counted(most):
    seen = []

    def make(text):
        seen.append(text)
        return text.upper()

    return MadeOfText(make, most=most), seen


def test_the_same_text_is_taken_apart_once():
    made, seen = _counted(2)
    assert [made("a"), made("a"), made("b"), made("a")] == ["A", "A", "B", "A"]
    assert seen == ["a", "b"]


def test_the_longest_unread_goes_first():
    made, seen = _counted(2)
    for text in ("a", "b", "a", "c", "a", "b"):
        assert made(text) == text.upper()
    assert seen == ["a", "b", "c", "b"]


def test_what_its_writer_put_in_is_not_made_again():
    made, seen = _counted(2)
    made.keep("a", "as written")
    assert made("a") == "as written"
    assert seen == []
