"""Fixtures that every test may use: the cast stands in tests/cast.py, the rest beside it."""

import pytest

pytest_plugins = ["tests.cast", "tests.guards"]

NOT_FOR_EACH_DATABASE = ("tests/engineering/", "tests/benchmarks/", "advisory/engineering/")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark what the second pass, on PostgreSQL, need not repeat."""
    for item in items:
        if item.nodeid.startswith(NOT_FOR_EACH_DATABASE) or item.get_closest_marker("browser"):
            item.add_marker("one_database")
