"""What Measure says of the promises after an edit: being checked, then how many do not hold."""

from django.urls import reverse

from campaign.models import Level, StaircaseRun
from campaign.queries.promise_news import PromiseNews, read_promise_news
from campaign.services.plans import touch_inputs
from tests.builders import make_draft


def test_promises_are_said_to_be_checked_until_the_exact_staircase_is_there(ada_client, show):
    assert read_promise_news(show) is None
    url = reverse("campaign:measure", args=[show.code])
    Level.objects.update(promised_works=6, promised_worth=100_000)  # more than there is
    StaircaseRun.objects.update(is_quick=True)
    assert read_promise_news(show) == PromiseNews(is_waiting=True)
    assert "the promises of the levels are checked when it is done" in ada_client.get(url).content.decode()
    StaircaseRun.objects.update(is_quick=False)
    news = read_promise_news(show)
    assert (news.is_waiting, news.broken) == (False, show.levels.count())
    assert "not hold any more" in ada_client.get(url).content.decode()
    touch_inputs(show)
    show.refresh_from_db()
    assert read_promise_news(show) == PromiseNews(is_waiting=True)


def test_where_nothing_is_promised_there_is_no_news(show, db):
    assert read_promise_news(make_draft(code="other")) is None
    show.levels.all().delete()
    touch_inputs(show)
    assert read_promise_news(show) is None
