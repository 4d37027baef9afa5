"""URLs that need no sign-in."""

from django.urls import path, re_path

from campaign.views import art, health, mine, news, orders, paying, public, session

DIGEST = "(?P<sha256>[0-9a-f]{64})"

urlpatterns = [
    path("", public.front, name="front"),
    path("show/<slug:show_code>/", public.show, name="show"),
    path("show/<slug:show_code>/order/", orders.order, name="order"),
    path("show/<slug:show_code>/updates/", news.archive, name="news_archive"),
    path("show/<slug:show_code>/updates.atom", news.feed, name="news_feed"),
    path("show/<slug:show_code>/updates/<str:code>/", news.update, name="update"),
    path("show/<slug:show_code>/send-link/", orders.send_link, name="send_link"),
    path("m/<str:token>/", mine.pledge_link, name="pledge_link"),
    path("my/<str:code>/", mine.my_pledge, name="my_pledge"),
    path("my/<str:code>/address/", mine.my_address, name="my_address"),
    path("my/<str:code>/address/right/", mine.my_address_right, name="my_address_right"),
    path("my/<str:code>/friend/<int:number>/address/", mine.my_friend_address, name="my_friend_address"),
    path("my/<str:code>/bill.pdf", paying.my_bill, name="my_bill"),
    path("my/<str:code>/cancel/", mine.my_cancel, name="my_cancel"),
    path("u/<str:token>/", news.unsubscribe, name="unsubscribe"),
    path("u/list/<str:token>/", news.unsubscribe_waiter, name="unsubscribe_waiter"),
    re_path(rf"^art/{DIGEST}\.webp$", art.picture, name="art"),
    re_path(rf"^art/{DIGEST}-small\.webp$", art.picture, {"is_small": True}, name="thumbnail"),
    path("healthz", health.healthz, name="healthz"),
    path("readyz", health.readyz, name="readyz"),
    path("metrics", health.metrics, name="metrics"),
    path("sign-in/", session.sign_in, name="sign_in"),
    path("sign-out/", session.sign_out, name="sign_out"),
    path("studio/second-factor/", session.second_factor, name="second_factor"),
]
