"""Fixtures that every test may use: the cast stands in tests/cast.py, the rest beside it."""

import gc

import pytest

from advisory.config.machine.browser import HOW_TO_GET_IT, find_chromium

pytest_plugins = ["tests.cast", "tests.guards", "tests.browser", "tests.migrated", "tests.worker"]

# A test leaves little behind; looking for it at every turn costs a tenth of the run.
gc.set_threshold(100_000, 50, 100)

NOT_FOR_EACH_DATABASE = ("tests/engineering/", "tests/benchmarks/", "advisory/engineering/")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark tests by what they use, and what the second pass, on PostgreSQL, need not repeat."""
    for item in items:
        fixtures = getattr(item, "fixturenames", ())
        if "browser" in fixtures:
            item.add_marker("browser")
        if "worker" in fixtures:
            item.add_marker("worker")
        if item.nodeid.startswith(NOT_FOR_EACH_DATABASE) or item.get_closest_marker("browser"):
            item.add_marker("one_database")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say it loudly where the browser tests did not run."""
    skipped = terminalreporter.stats.get("skipped", [])
    if find_chromium() is None and any("No Chromium" in str(each.longrepr) for each in skipped):
        terminalreporter.section("BROWSER TESTS SKIPPED", sep="!", red=True)
        terminalreporter.line(f"There is no Chromium here. {HOW_TO_GET_IT}")
