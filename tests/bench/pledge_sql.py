"""
The SQL of one order as a script for pgbench: `python -m tests.bench.pledge_sql` prints it.

Taken from the product itself: an order is placed on the database of the settings, the statements of its transaction
are kept as they went out, and what differs from order to order (keys, codes, address) becomes a variable.
"""

import os
import re
import uuid

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.db import connection  # noqa: E402 - needs django.setup()
from django.test.utils import CaptureQueriesContext  # noqa: E402
from django.utils import timezone  # noqa: E402

from campaign.models import OutboxMessage, Pledge, PledgeLine, Show  # noqa: E402
from campaign.services.pledges import place_pledge  # noqa: E402
from tests.builders import OrderFactory  # noqa: E402

# A number for each run of the script, the same in all its statements. No round trip: pgbench makes it itself.
RUN = "\\set wf_run random(1, 9000000000000000)\n"


def main() -> None:
    """Print the script."""
    order = OrderFactory(email=f"same-sql-{uuid.uuid4().hex[:8]}@example.org")
    show = Show.objects.get(code="tideline")
    with CaptureQueriesContext(connection) as captured:
        pledge = place_pledge(show=show, request_key=uuid.uuid4(), order=order, now=timezone.now())
    said = [query["sql"] for query in captured]
    inside = said[said.index("BEGIN") : said.index("COMMIT") + 1]
    print(RUN + "".join(_as_script(sql, pledge=pledge) for sql in inside), end="")


def _as_script(sql: str, *, pledge: Pledge) -> str:
    """One statement with its variables; rows that it makes are named by what it returns."""
    line = PledgeLine.objects.get(pledge=pledge)
    mail = OutboxMessage.objects.get(key=f"pledge_placed:{pledge.code}")
    unique = "lpad(to_hex(:wf_run), 32, '0')::uuid"
    run = "substr(lpad(to_hex(:wf_run), 13, '0'), 1, 13)"
    for value, expression in (
        (f"'{pledge.request_key.hex}'::uuid", unique),
        (f"'{mail.uid.hex}'::uuid", unique),
        (f"'{pledge.code}'", f"upper({run})"),
        (f"'{pledge.reference}'", f"'RF' || {run}"),
        (f"'{mail.key}'", f"'pledge_placed:' || {run}"),
        (f"'{pledge.email}'", f"({run} || '@example.org')"),
    ):
        sql = sql.replace(value, expression)
    for key, name, before in (
        (pledge.pk, "wf_pledge", r"INTO \"campaign_pledgeline\" .*VALUES \(|pledge_id = "),
        (line.pk, "wf_line", r"line_id = "),
    ):
        sql = re.sub(rf"({before}){key}\b", rf"\1:{name}", sql)
    return sql.strip().rstrip(";") + _named(sql)


def _named(sql: str) -> str:
    """How the statement ends: what it returns is kept for those that follow."""
    if sql.startswith('INSERT INTO "campaign_pledge" '):
        return "\n\\gset wf_pledge_\n\\set wf_pledge :wf_pledge_id\n"
    if sql.startswith('INSERT INTO "campaign_pledgeline" '):
        return "\n\\gset wf_line_\n\\set wf_line :wf_line_id\n"
    return ";\n"


if __name__ == "__main__":
    main()
