"""The compose file's own processes take an order, send its mail and agree with their rows on PostgreSQL and Redis."""

import uuid

import pytest

from tests.buyers import Buyer, NotAcknowledged
from tests.postgres.compose import read_compose
from tests.postgres.stack import BEHIND_PROXY, composed
from tests.processes import postgres, run

GIVEN = {
    "WALLFUL_SECRET_KEY": "x" * 50, "WALLFUL_PUBLIC_URL": "https://a.example", "WALLFUL_HOSTS": "a.example",
    "WALLFUL_POSTGRES_PASSWORD": "p", "WALLFUL_SMTP_HOST": "mail.example", "WALLFUL_MAIL_FROM": "a@a.example",
}  # fmt: skip


@pytest.mark.postgres
@pytest.mark.timeout(400)
def test_order_goes_through_the_processes_of_the_compose_file(tmp_path):
    with postgres() as server, composed(server, tmp_path, copies=20) as stack:
        key = uuid.uuid4()
        buyer = stack.buyer()
        code = buyer.order(email="bea@example.org", key=key)
        assert buyer.order(email="bea@example.org", key=key) == code
        [mail] = stack.sink.wait_for(lambda mail: mail["To"] == "bea@example.org")
        assert mail["From"] == "studio@wallful.example"
        assert "https://wallful.example/m/" in mail.get_body(("plain",)).get_content()
        assert "All figures agree" in run("manage.py", "verify", env=stack.env)
        assert "System check identified no issues" in run("manage.py", "check", "--deploy", env=stack.env)
        for name, program in stack.programs.items():
            assert program.is_running, f"{name}\n{program.said}"
            assert "Traceback" not in program.said, f"{name}\n{program.said}"
        statuses = {name: program.stop() for name, program in stack.programs.items()}
        assert statuses["web"] == 0, statuses
        assert len(stack.sink.mails) == 1


@pytest.mark.postgres
@pytest.mark.timeout(400)
def test_visitor_who_does_not_come_through_the_proxy_is_sent_to_https(tmp_path):
    with postgres() as server, composed(server, tmp_path, copies=5) as stack:
        plain = Buyer(stack.url, headers={"Host": BEHIND_PROXY["Host"]})
        with pytest.raises(AssertionError, match=": 301"):
            plain.open_form()
        buyer = stack.buyer()
        buyer.headers["Referer"] = "https://elsewhere.example/"
        with pytest.raises(NotAcknowledged, match="403"):
            buyer.order(email="mallory@example.org", key=uuid.uuid4())


def test_every_process_of_the_site_has_the_same_image_and_settings():
    services = read_compose(GIVEN)
    assert set(services) == {"migrate", "web", "worker", "beat", "postgres", "redis"}
    own = [services[name] for name in ("migrate", "web", "worker", "beat")]
    settings = [{k: v for k, v in service["environment"].items() if k != "REMAP_SIGTERM"} for service in own]
    assert all(found == settings[0] for found in settings)
    assert {service["build"]["dockerfile_inline"] for service in own} == {own[0]["build"]["dockerfile_inline"]}


@pytest.mark.parametrize("name", sorted(GIVEN))
def test_compose_refuses_to_start_without_what_only_the_operator_knows(name):
    with pytest.raises(KeyError, match=name):
        read_compose({key: value for key, value in GIVEN.items() if key != name})


def test_web_and_worker_can_be_multiplied():
    services = read_compose(GIVEN)
    assert "container_name" not in services["web"]
    [ports] = services["web"]["ports"]
    host, inside = ports.rsplit(":", 1)
    first, last = host.rpartition(":")[2].split("-")
    assert int(last) - int(first) >= 2
    assert inside == "8000"
    assert "ports" not in services["worker"]


def test_redis_keeps_every_message():
    command = read_compose(GIVEN)["redis"]["command"]
    assert command[command.index("--maxmemory-policy") + 1] == "noeviction"
    assert command[command.index("--appendonly") + 1] == "yes"


def test_image_installs_with_hashes_and_what_papers_need():
    image = read_compose(GIVEN)["web"]["build"]["dockerfile_inline"]
    assert "--require-hashes -r requirements.lock" in image
    assert "libpango-1.0-0" in image
    assert "USER wallful" in image
