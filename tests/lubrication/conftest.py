"""What the tests of oil have in common."""

from tests.season import readings, today

__all__ = ["readings", "today"]
