"""Counts and lists in sentences."""

from campaign.measures.words import count_of, join_words, lower_first, name_some, spell, upper_first


def test_counts_are_spelled_up_to_twelve():
    assert [spell(n) for n in (0, 1, 12, 13)] == ["no", "one", "twelve", "13"]


def test_nouns_follow_their_count():
    assert count_of(1, "work") == "1 work"
    assert count_of(0, "work") == "0 works"
    assert count_of(2, "copy", plural="copies") == "2 copies"


def test_lists_end_with_and():
    assert join_words(["a", "b", "c"]) == "a, b and c"
    assert join_words([]) == ""


def test_more_titles_than_fit_are_counted():
    assert name_some(list("ABCDE")) == "“A”, “B”, “C”, “D” and “E”"
    assert name_some(list("ABCDEF")) == "“A”, “B”, “C”, “D” and 2 more"
    assert name_some([]) == ""


def test_first_letters_change_and_abbreviations_stay():
    assert upper_first("two works") == "Two works"
    assert lower_first("Framed in oak") == "framed in oak"
    assert lower_first("MDF") == "MDF"
