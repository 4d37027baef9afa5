"""Pictures for ever, signs of life, and the artist's door."""

import hashlib
from datetime import timedelta
from typing import Any

import pytest
from django.db import OperationalError, connection

from campaign.models import OutboxMessage, Picture, Show
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
    assert client.get("/readyz").json() == {"ready": True, "database": True, "oldest_mail_seconds": 0}


def test_readyz_tells_that_no_worker_is_there(client: Any, show: Show, clock: Any) -> None:
    place(show)
    clock.shift(3600)
    response = client.get("/readyz")
    assert response.status_code == 503 and response.json()["oldest_mail_seconds"] == 3600
    OutboxMessage.objects.update(due_at=OutboxMessage.objects.get().due_at + timedelta(days=1))
    assert client.get("/readyz").status_code == 200


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
