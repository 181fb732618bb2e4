"""Fixtures that every test may use; the cast stands in tests/cast.py."""

pytest_plugins = ["tests.cast"]
