"""The outgrown site under load: orders and views, on one database and one set of web processes."""

from tests.bench.outgrown import outgrown
from tests.bench.pages import BURST_PLEDGES, page_rows
from tests.bench.pledges import COPIES, pledge_rows
from tests.bench.rows import Row


def web_rows() -> list[Row]:
    """Orders against pgbench, the public page against a static file, orders in a burst of views."""
    with outgrown(copies=COPIES + BURST_PLEDGES) as site:
        rows = [*pledge_rows(site), *page_rows(site)]
        assert "Traceback" not in site.web.said, site.web.said[-3000:]
        return rows
