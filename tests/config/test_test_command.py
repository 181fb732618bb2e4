"""`manage.py test`: what it runs for which arguments."""

import subprocess
import sys
from pathlib import Path

import pytest

from advisory.config.machine import ROOT
from advisory.config.machine.checks import CHECKS, Check, run_check
from advisory.config.management.commands.test import passes_for

pytestmark = pytest.mark.one_database


@pytest.mark.parametrize(
    ("database", "arguments", "passes"),
    [
        (None, [], ["sqlite", "postgresql"]),
        (None, ["tests/people"], ["sqlite"]),
        ("postgresql", ["tests/people"], ["postgresql"]),
        ("postgresql", [], ["postgresql"]),
        ("both", ["-k", "oil"], ["sqlite", "postgresql"]),
    ],
)
def test_passes_follow_from_the_arguments(
    database: str | None, arguments: list[str], passes: list[str]
) -> None:
    assert passes_for(database, arguments) == passes


def test_check_tells_what_a_failing_program_wrote() -> None:
    failing = Check("style", (sys.executable, "-c", "print('line 3 is bad'); raise SystemExit(1)"))
    outcome = run_check(failing, {})
    assert not outcome.passed
    assert outcome.note == "line 3 is bad\n"


def test_check_says_nothing_of_a_passing_program() -> None:
    outcome = run_check(Check("style", (sys.executable, "-c", "print('all well')")), {})
    assert outcome.passed
    assert outcome.note == ""


def test_all_that_a_reviewer_checks_is_checked() -> None:
    commands = " ".join(word for check in CHECKS for word in check.command)
    for program in (
        "mypy", "ruff check", "ruff format --check", "lint-imports", "djlint",
        "makemigrations --check", "check --deploy", "spectacular --validate --fail-on-warn",
    ):  # fmt: skip
        assert program in commands


def test_failing_test_fails_the_command_and_stands_in_the_summary(tmp_path: Path) -> None:
    (tmp_path / "test_of_three.py").write_text(
        "import warnings\n\n"
        "def test_good():\n    pass\n\n"
        "def test_bad():\n    assert 1 == 2\n\n"
        "def test_warns():\n    warnings.warn('old')\n"
    )
    command = [sys.executable, "manage.py", "test", "-n0", "-p", "no:cacheprovider"]
    command += ["-c", str(ROOT / "pyproject.toml"), str(tmp_path)]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stderr
    assert "UserWarning: old" in done.stdout
    assert "FAILED  tests on sqlite" in done.stdout
    assert "2 failed, 1 passed" in done.stdout.splitlines()[-2]
    assert done.stdout.splitlines()[-1].startswith("1 of 1 FAILED")
