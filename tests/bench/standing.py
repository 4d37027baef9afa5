"""What one order costs: queries from the order to the new standing, on a database of its own in memory."""

import os
from statistics import median
from time import perf_counter

from tests.bench.rows import ROUNDS, Row

MOST_QUERIES = 5


def standing_rows() -> list[Row]:
    """Queries and time of the standing that follows an order, on the small published show of the tests."""
    os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
    import django

    django.setup()
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    name = connection.creation.create_test_db(verbosity=0)
    try:
        from campaign.queries.standing import read_standing
        from tests.builders import make_show, pay, place

        show = make_show(copies=60)
        queries, seconds = 0, []
        for _ in range(ROUNDS):
            pay(place(show, copies=2))
            with CaptureQueriesContext(connection) as captured:
                start = perf_counter()
                standing = read_standing(show)
                seconds.append(perf_counter() - start)
            assert standing.now is not None
            queries = max(queries, len(captured))
        return [
            Row("queries of the standing after an order", queries, MOST_QUERIES, "", "limit", 1.0),
            Row("   its time", 1000 * median(seconds), 1000.0, "ms", "the promised second", 1.0),
        ]
    finally:
        connection.creation.destroy_test_db(name, verbosity=0)
