"""
Source: the encyclopaedia article "Largest remainder method" (Hamilton, Hare quota): method and quota rule; the
    votes 47000 … 3100 are from memory; the votes 50, 30, 20 are the worked example of infinitelexicon.com.
Edition: read 2026-11-25 in the project's notes on the trade; licence of the article CC BY-SA, figures only.
What is checked: money, copies and grams are shared out by largest remainder and nothing is lost.
Tolerance: none, whole numbers.
"""

import pytest

from campaign.measures.money import allocate

pytestmark = pytest.mark.outside


@pytest.mark.parametrize(
    ("weights", "total", "shares"),
    [
        pytest.param((47000, 16000, 15800, 12000, 6100, 3100), 10, (5, 2, 1, 1, 1, 0), id="article, votes from memory"),
        pytest.param((50, 30, 20), 7, (4, 2, 1), id="worked example, quotas 3.5 2.1 1.4"),
        pytest.param((1, 1, 1), 100, (34, 33, 33), id="computed, tie to the first"),
        pytest.param((1,) * 6, 100, (17, 17, 17, 17, 16, 16), id="computed, four of six"),
        pytest.param((3, 2, 2), 1000, (428, 286, 286), id="computed, remainders 4/7 5/7 5/7"),
        pytest.param((310, 120, 120), 2500, (1409, 546, 545), id="computed, postage by grams"),
    ],
)
def test_shares_are_those_of_the_source(weights, total, shares):
    """The method of the article; the inputs as named by each case."""
    assert allocate(total, weights) == shares
    assert sum(shares) == total


def test_quota_rule_of_the_article_holds_on_a_grid():
    """The article: the method satisfies the quota rule, every share is its quota rounded up or down."""
    for total in range(60):
        for weights in ((5, 3, 1), (1, 1, 1, 1), (97, 2, 1), (13, 0, 4, 7)):
            for share, weight in zip(allocate(total, weights), weights, strict=True):
                floor = total * weight // sum(weights)
                assert share in (floor, floor + 1)
