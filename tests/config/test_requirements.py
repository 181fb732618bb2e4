"""The lock files: complete, hashed, in step with pyproject.toml, and free of any address."""

import re
import tomllib
from pathlib import Path

import pytest

from advisory.config.machine import ROOT

pytestmark = pytest.mark.one_database

LOCKS = [ROOT / "requirements.lock", ROOT / "requirements-test.lock"]


def blocks(lock: Path) -> list[str]:
    """Return each requirement with its hashes."""
    return re.findall(r"^\S.*(?:\n[ \t]+.*)*", lock.read_text(), re.MULTILINE)


def names(lock: Path) -> set[str]:
    return {re.split(r"[=\[ ]", block)[0].lower() for block in blocks(lock)}


def asked(group: str | None) -> set[str]:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    lines = project["optional-dependencies"][group] if group else project["dependencies"]
    return {re.split(r"[~=><\[;, ]", line)[0].lower() for line in lines}


@pytest.mark.parametrize("lock", LOCKS, ids=lambda lock: lock.name)
def test_every_requirement_is_pinned_and_hashed(lock: Path) -> None:
    assert len(blocks(lock)) > 40
    for block in blocks(lock):
        assert re.match(r"[A-Za-z0-9._-]+==\S+", block), block
        assert "--hash=sha256:" in block, block


def test_locks_hold_what_the_project_asks_for() -> None:
    assert asked(None) <= names(LOCKS[0])
    assert asked("test") <= names(LOCKS[1])


def test_test_lock_contains_the_runtime_lock() -> None:
    pins = [{block.splitlines()[0] for block in blocks(lock)} for lock in LOCKS]
    assert pins[0] <= pins[1]


@pytest.mark.parametrize("path", [*LOCKS, ROOT / "pyproject.toml", ROOT / "manage.py"])
def test_no_file_names_an_index(path: Path) -> None:
    assert not re.search(r"https?://|--(extra-)?index-url|--find-links", path.read_text())
