"""Which of the two passes a test belongs to."""

import pytest
from django.db import connection

on_postgresql = pytest.mark.skipif(
    connection.vendor != "postgresql", reason="runs in the pass on PostgreSQL, not on both"
)
