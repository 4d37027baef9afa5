"""The bench keeps up with what it measures: its quick parts run here, small."""

import importlib
import pkgutil

import pytest

from tests import bench
from tests.bench import packing


@pytest.mark.parametrize("name", [one.name for one in pkgutil.iter_modules(bench.__path__) if one.name != "__main__"])
def test_every_module_of_the_bench_is_read(name):
    assert importlib.import_module(f"tests.bench.{name}").__doc__


def test_orders_are_packed(monkeypatch):
    monkeypatch.setattr(packing, "ORDERS", 40)
    [row] = packing.packing_rows()
    assert row.ours < packing.LIMIT_S
