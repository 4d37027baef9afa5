"""
Source: G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014; the five words for
    the start 1234567 are those of the public domain reference program in C (S. Vigna), from memory.
Edition: 2014.
What is checked: the words of the fixed sequence that nesting stirs prints with.
Tolerance: none; equal words.
"""

import pytest

from fulfilment.nesting.fixed_numbers import FixedNumbers

pytestmark = pytest.mark.outside

FIRST_FIVE = [
    6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821,
]  # fmt: skip


def test_the_published_words_come_out():
    numbers = FixedNumbers(1234567)
    assert [numbers.word() for _ in FIRST_FIVE] == FIRST_FIVE


def test_numbers_below_a_count_are_the_high_part_of_its_product_with_the_word():
    numbers = FixedNumbers(1234567)
    assert [numbers.below(10) for _ in FIRST_FIVE] == [word * 10 >> 64 for word in FIRST_FIVE]
