"""Pictures for ever, signs of life, and the artist's door."""

import hashlib
from datetime import timedelta
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.utils import timezone

from campaign.models import OutboxMessage, Picture, Show
from campaign.services.pulses import beat_sweep
from tests.builders import place

pytestmark = pytest.mark.django_db


@pytest.fixture
def picture() -> Picture:
    digest = hashlib.sha256(b"large").hexdigest()
    return Picture.objects.create(
        source_sha256="0" * 64, sha256=digest, webp=b"large", thumbnail_webp=b"small", width_px=3, height_px=2
    )


def test_picture_may_be_kept_for_ever(client: Any, picture: Picture) -> None:
    response = client.get(f"/art/{picture.sha256}.webp")
    assert response.content == b"large" and response.headers["Content-Type"] == "image/webp"
    assert response.headers["Cache-Control"] == "public, max-age=31536000, immutable"
    assert not response.cookies


def test_thumbnail_is_another_file(client: Any, picture: Picture) -> None:
    small, large = client.get(f"/art/{picture.sha256}-small.webp"), client.get(f"/art/{picture.sha256}.webp")
    assert small.content == b"small"
    assert small.headers["ETag"] != large.headers["ETag"]


def test_known_picture_is_not_sent_again(client: Any, picture: Picture, django_assert_num_queries: Any) -> None:
    etag = client.get(f"/art/{picture.sha256}.webp").headers["ETag"]
    with django_assert_num_queries(0):
        again = client.get(f"/art/{picture.sha256}.webp", headers={"If-None-Match": etag})
    assert again.status_code == 304 and not again.content


@pytest.mark.parametrize("name", ["f" * 64, "short", "../../etc/passwd"])
def test_unknown_picture_is_not_there(client: Any, name: str) -> None:
    assert client.get(f"/art/{name}.webp").status_code == 404


def test_healthz_asks_nothing_of_the_database(client: Any, django_assert_num_queries: Any) -> None:
    with django_assert_num_queries(0):
        assert client.get("/healthz").content == b"ok\n"


def test_readyz_is_ready_while_mail_goes_out(client: Any, show: Show, clock: Any) -> None:
    place(show)
    beat_sweep(now=timezone.now())
    said = client.get("/readyz").json()
    assert said.pop("free_bytes") > 0
    assert said == {
        "ready": True, "database": True, "oldest_mail_seconds": 0, "sweep_age_seconds": 0, "stuck_mails": 0,
    }  # fmt: skip


def test_readyz_tells_that_no_worker_is_there(client: Any, show: Show, clock: Any) -> None:
    assert client.get("/readyz").status_code == 503  # no sweep so far
    place(show)
    beat_sweep(now=timezone.now())
    clock.shift(3600)
    response = client.get("/readyz")
    assert response.status_code == 503 and response.json()["oldest_mail_seconds"] == 3600
    OutboxMessage.objects.update(due_at=OutboxMessage.objects.get().due_at + timedelta(days=1))
    assert client.get("/readyz").json()["sweep_age_seconds"] == 3600
    beat_sweep(now=timezone.now())
    assert client.get("/readyz").status_code == 200


def test_readyz_counts_mail_that_is_stuck_and_stays_ready(client: Any, show: Show, clock: Any) -> None:
    place(show)
    beat_sweep(now=timezone.now())
    OutboxMessage.objects.update(state="stuck")
    response = client.get("/readyz")
    assert response.status_code == 200 and response.json()["stuck_mails"] == 1


def test_a_full_disk_is_not_ready(client: Any, show: Show, clock: Any, monkeypatch: Any) -> None:
    beat_sweep(now=timezone.now())
    monkeypatch.setattr("campaign.queries.health.LEAST_FREE_BYTES", 10**18)
    assert client.get("/readyz").status_code == 503


def test_there_are_no_metrics_without_the_token(client: Any, db: None, settings: Any) -> None:
    assert client.get("/metrics").status_code == 404
    assert client.get("/metrics", headers={"Authorization": "Bearer "}).status_code == 404
    settings.METRICS_TOKEN = "a token"
    assert client.get("/metrics").status_code == 404
    assert client.get("/metrics", headers={"Authorization": "Bearer another"}).status_code == 404


def test_metrics_count_and_name_nobody(client: Any, show: Show, clock: Any, settings: Any) -> None:
    settings.METRICS_TOKEN = "a token"
    pledge = place(show, copies=2)
    text = client.get("/metrics", headers={"Authorization": "Bearer a token"}).content.decode()
    assert 'wallful_pledges{state="held"} 1\n' in text
    assert 'wallful_copies{state="held"} 2\n' in text and 'wallful_copies{state="free"} 18\n' in text
    assert text.count("# TYPE") == text.count("# HELP") >= 12
    assert pledge.email not in text and pledge.code not in text


def test_every_answer_carries_its_number(client: Any, db: None) -> None:
    numbers = {client.get("/healthz")["X-Request-Id"] for _ in range(5)}
    assert len(numbers) == 5


def test_readyz_tells_that_the_database_is_gone(client: Any) -> None:
    def refuse(*args: Any) -> None:
        raise OperationalError("gone")

    with connection.execute_wrapper(refuse):
        response = client.get("/readyz")
    assert response.status_code == 503 and response.json()["database"] is False


def test_artist_signs_in_and_out(client: Any, ada: Any) -> None:
    response = client.post("/sign-in/", {"username": "ada", "password": "a long enough password"})
    assert response.status_code == 302 and response.url == "/studio/"
    assert client.get("/sign-out/").status_code == 405
    assert client.post("/sign-out/").status_code == 302
    assert "_auth_user_id" not in client.session


def test_wrong_password_is_said_in_words_and_then_stopped(client: Any, ada: Any) -> None:
    wrong = {"username": "ada", "password": "wrong"}
    answers = [client.post("/sign-in/", wrong) for _ in range(9)]
    assert "do not belong together" in answers[0].content.decode()
    assert answers[-1].status_code == 429
    assert client.post("/sign-in/", wrong | {"password": "a long enough password"}).status_code == 429


def test_sign_in_leads_nowhere_else(client: Any, ada: Any) -> None:
    fields = {"username": "ada", "password": "a long enough password", "next": "https://elsewhere.example/"}
    assert client.post("/sign-in/", fields).url == "/studio/"
