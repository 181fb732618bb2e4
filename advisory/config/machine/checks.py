"""What a reviewer would check without running a test: style, types, layers and so on."""

import os
import subprocess
import sys
import sysconfig
import time
from collections.abc import Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import repeat
from pathlib import Path

from advisory.config.machine import ROOT

PYTHON = sys.executable
SCRIPTS = Path(sysconfig.get_path("scripts"))
MANAGE = (PYTHON, "manage.py")
# What a production set has; the check is of the settings that follow from it.
PRODUCTION = {
    "BASE_URL": "https://advisory.example",
    "BEHIND_PROXY": "yes",
    "SSL_REDIRECT": "yes",
    "SECRET_KEY": "only-for-the-check-" + "0123456789abcdefghijklmnopqrstuvwxyz" * 2,
}


@dataclass(frozen=True)
class Check:
    """One program that says whether something holds."""

    name: str
    command: tuple[str, ...]
    environ: Mapping[str, str] | None = None


@dataclass(frozen=True)
class Outcome:
    """How a check or a test pass went."""

    name: str
    passed: bool
    seconds: float
    note: str


# The slow ones first: two run at a time.
CHECKS = (
    Check("types (mypy)", (PYTHON, "-m", "mypy")),
    # compiles them as well, which the processes of the passes would else each do at once
    Check("tests are found", (PYTHON, "-m", "pytest", "--collect-only", "-q", "-n0")),
    Check("style (ruff check)", (PYTHON, "-m", "ruff", "check", ".")),
    Check("form (ruff format)", (PYTHON, "-m", "ruff", "format", "--check", ".")),
    Check("layers (import-linter)", (str(SCRIPTS / "lint-imports"),)),
    Check("templates (djlint)", (PYTHON, "-m", "djlint", "--lint", "--quiet", "templates")),
    Check("migrations", (*MANAGE, "makemigrations", "--check", "--dry-run")),
    Check("system", (*MANAGE, "check", "--deploy", "--fail-level", "WARNING"), PRODUCTION),
    Check(
        "API schema", (*MANAGE, "spectacular", "--validate", "--fail-on-warn", "--file", os.devnull)
    ),
)


def run_check(check: Check, environ: Mapping[str, str]) -> Outcome:
    """Run one check; the note is its output where it fails."""
    began = time.monotonic()
    done = subprocess.run(
        check.command,
        cwd=ROOT,
        env={**environ, **(check.environ or {})},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        check=False,
    )
    passed = done.returncode == 0
    return Outcome(check.name, passed, time.monotonic() - began, "" if passed else done.stdout)


def run_checks(environ: Mapping[str, str], *, at_once: int = 2) -> Iterator[Outcome]:
    """Run all checks, some at once; outcomes come in the order of the list."""
    with ThreadPoolExecutor(at_once) as pool:
        yield from pool.map(run_check, CHECKS, repeat(environ))
