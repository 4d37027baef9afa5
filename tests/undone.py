"""A stretch of work on the database that leaves nothing behind, services' own transactions included."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import transaction


@contextmanager
def undone() -> Iterator[None]:
    """Everything inside is rolled back at the end; a service may still ask for the outermost transaction."""
    block = transaction.atomic()
    block._from_testcase = True
    with block:
        try:
            yield
        finally:
            transaction.set_rollback(True)
