"""The PostgreSQL server that tests are run on."""

import os
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import psycopg
import pytest

from advisory.config.machine import ROOT, postgres
from advisory.config.machine.waiting import wait_until

pytestmark = pytest.mark.one_database

HOLDER = """
import sys
from advisory.config.machine.postgres import running_postgres
with running_postgres() as url:
    print(url, flush=True)
    sys.stdin.read()
"""


@pytest.fixture
def only_the_package(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Hide the system's own PostgreSQL."""
    monkeypatch.setattr(postgres, "SYSTEM", tmp_path / "nothing-here")


def can_connect(url: str) -> bool:
    try:
        with psycopg.connect(url):
            return True
    except psycopg.OperationalError:
        return False


@pytest.mark.usefixtures("only_the_package")
def test_server_of_the_package_runs_and_is_gone_afterwards() -> None:
    with postgres.running_postgres() as url, psycopg.connect(url) as connection:
        row = connection.execute(
            "select current_setting('server_version_num')::int, upper('é')"
        ).fetchone()
    assert row is not None
    assert row[0] >= 140000
    assert row[1] == "É"  # letters beyond ASCII are compared as in production
    assert not can_connect(url)


@pytest.mark.skipif(os.geteuid() != 0, reason="only root has to change the user")
def test_binaries_that_the_servers_user_cannot_reach_are_copied(
    only_the_package: None, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    installed = postgres.find_binaries().parent
    hidden = tmp_path / "site" / postgres.PACKAGE
    shutil.copytree(installed, hidden / installed.name, symlinks=True)
    libraries = installed.parent.with_name(f"{postgres.PACKAGE}.libs")
    shutil.copytree(libraries, hidden.with_name(libraries.name))
    tmp_path.chmod(0o700)
    binaries = hidden / installed.name / "bin"
    monkeypatch.setattr(postgres, "find_binaries", lambda: binaries)
    with postgres.running_postgres() as url:
        assert can_connect(url)


def test_server_ends_with_a_starter_that_is_killed() -> None:
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER],
        cwd=ROOT,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as holder:
        assert holder.stdout is not None
        url = holder.stdout.readline().strip()
        assert can_connect(url)
        holder.send_signal(signal.SIGKILL)
        holder.wait()
        wait_until(lambda: not can_connect(url), seconds=20, what="The server's end")


def test_missing_binaries_are_an_error_that_says_how_to_get_them(
    only_the_package: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(postgres, "PACKAGE", "no_such_package_here")
    with pytest.raises(postgres.NoPostgres, match="apt-get install postgresql"):
        postgres.find_binaries()
