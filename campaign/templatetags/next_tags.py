"""The next act of a show that is being prepared, for the pages that are still empty."""

from typing import Any

from django import template

from campaign.queries.next_act import NextAct, find_next_act
from campaign.queries.promise_news import PromiseNews, read_promise_news

register = template.Library()


@register.inclusion_tag("campaign/studio/next_act.html")
def next_act(show: Any) -> dict[str, NextAct | Any | None]:
    """`{% next_act show %}`: one sentence with its link; nothing once the page is public."""
    return {"act": find_next_act(show), "show": show}


@register.inclusion_tag("campaign/studio/promise_news.html")
def promise_news(show: Any) -> dict[str, PromiseNews | Any | None]:
    """`{% promise_news show %}`: that the promises are still being checked, or how many do not hold."""
    return {"news": read_promise_news(show), "show": show}
