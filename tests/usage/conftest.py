"""What the tests of use have in common."""

from tests.season import readings, today

__all__ = ["readings", "today"]
