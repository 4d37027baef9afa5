"""On PostgreSQL one process at a time sends mails, so that a kill leaves at most one in doubt."""

import psycopg
import pytest

from campaign.sending import SENDER
from tests.processes import environment, new_database, postgres, run

SEND = (
    "import os, django; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'; django.setup();"
    "from django.utils import timezone; from campaign.outbox import deliver_due;"
    "print(deliver_due(now=timezone.now()))"
)

LOOK = (
    "import os, django; os.environ['DJANGO_SETTINGS_MODULE'] = 'config.settings'; django.setup();"
    "from django.db import connection; from campaign.sending import sending_alone; cursor = connection.cursor()\n"
    "with sending_alone(): cursor.execute('SHOW tcp_keepalives_idle'); print(*cursor.fetchone())"
)


@pytest.mark.postgres
@pytest.mark.timeout(300)
def test_the_server_notices_soon_that_a_sender_is_cut_off(tmp_path):
    with postgres() as server, new_database(server, is_migrated=True) as address:
        with psycopg.connect(address) as here:
            if here.execute("SELECT inet_server_addr()").fetchone() == (None,):
                pytest.skip("over a socket of this machine there is nothing to notice: WALLFUL_TEST_POSTGRES_URL")
        env = environment({"WALLFUL_DATABASE_URL": address, "WALLFUL_DATA": str(tmp_path)})
        assert run("-c", LOOK, env=env).strip() == "30"


@pytest.mark.postgres
@pytest.mark.timeout(300)
def test_mails_are_left_to_the_process_that_is_sending(tmp_path):
    with postgres() as server, new_database(server, is_migrated=True) as address:
        env = environment({"WALLFUL_DATABASE_URL": address, "WALLFUL_DATA": str(tmp_path)})
        run("-m", "tests.seed", "5", env=env)
        run("-m", "tests.faults.batch", "write", "3", env=env)
        with psycopg.connect(address, autocommit=True) as sending:
            sending.execute("SELECT pg_advisory_lock(%s)", [SENDER])
            assert run("-c", SEND, env=env).strip() == "0"
        # Its connection is gone, as a killed process's is.
        assert run("-c", SEND, env=env).strip() == "6"
        assert run("-c", SEND, env=env).strip() == "0"
