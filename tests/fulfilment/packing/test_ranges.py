import pytest
from hypothesis import given
from hypothesis import strategies as st

from fulfilment.packing import RangeError, parse_numbers


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("1-12, 15", (*range(1, 13), 15)),
        ("3 5 7–9", (3, 5, 7, 8, 9)),
        ("9; 1 - 3 ;2", (1, 2, 3, 9)),
        ("#4, 6 to 8", (4, 6, 7, 8)),
        ("7-7", (7,)),
        ("  ", ()),
    ],
)
def test_numbers_are_read_as_people_write_them(text, numbers):
    assert parse_numbers(text, highest=20) == numbers


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("a few", "“a” is not a number; write numbers and ranges, like 1-12, 15."),
        ("5-3", "“5-3” runs backwards; write it as 3-5."),
        ("18-21", "“18-21”: the edition has copies 1 to 20."),
        ("0", "“0”: the edition has copies 1 to 20."),
        ("1.5", "“1.5” is not a number; write numbers and ranges, like 1-12, 15."),
        ("1-99999999", "“1-99999999” is not a number; write numbers and ranges, like 1-12, 15."),
        ("1/20", "“1/20” is not a number; write numbers and ranges, like 1-12, 15."),
    ],
)
def test_other_words_are_refused_with_what_would_do(text, sentence):
    with pytest.raises(RangeError) as caught:
        parse_numbers(text, highest=20)
    assert str(caught.value) == sentence


@given(st.sets(st.integers(1, 80), max_size=30))
def test_any_set_of_numbers_written_out_is_read_back(numbers):
    assert parse_numbers(", ".join(map(str, numbers)), highest=80) == tuple(sorted(numbers))


@given(st.text(max_size=30))
def test_any_text_gives_numbers_of_the_edition_or_a_sentence(text):
    try:
        numbers = parse_numbers(text, highest=80)
    except RangeError as error:
        assert str(error).endswith(".")
    else:
        assert all(1 <= number <= 80 for number in numbers)
