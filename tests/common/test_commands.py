"""Commands where the database hasn't got its tables yet."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.core.management.base import CommandError
from django.db import DatabaseError, ProgrammingError

from advisory.common.commands import RecordsCommand

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.one_database
def test_a_database_without_tables_is_told_how_to_get_them(tmp_path: Path) -> None:
    asked = subprocess.run(
        [sys.executable, "manage.py", "backtest_forecast"],
        cwd=ROOT,
        env=os.environ | {"ADVISORY_DATA": str(tmp_path), "DATABASE_URL": ""},
        capture_output=True,
        text=True,
        check=False,
    )
    assert asked.returncode == 1
    assert "First: manage.py migrate" in asked.stderr
    assert "Traceback" not in asked.stderr


@pytest.mark.django_db
def test_another_fault_of_the_database_is_not_explained_away() -> None:
    class Failing(RecordsCommand):
        def handle(self, *args: object, **options: object) -> None:
            raise ProgrammingError("something else")

    with pytest.raises(DatabaseError, match="something else") as raised:
        Failing().execute(no_color=True, force_color=False, skip_checks=True)
    assert not isinstance(raised.value, CommandError)
