#!/usr/bin/env python3
"""The service's commands, and the environment to run them in.

Up to the point where Django can be imported this file uses the standard library alone: from a
fresh clone, `python3 manage.py demo` makes `.venv`, installs the locked requirements into it and
starts itself again inside.
"""

from __future__ import annotations

import fcntl
import hashlib
import importlib.metadata
import importlib.util
import json
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = VENV / "installed.json"
UNFINISHED = VENV / "set-up-unfinished"
RUNTIME_LOCK = ROOT / "requirements.lock"
TEST_LOCK = ROOT / "requirements-test.lock"
OLDEST_PYTHON = (3, 11)
STARTED_AGAIN = "ADVISORY_STARTED_AGAIN"


def say(message: str) -> None:
    """Print progress where it does not disturb what a command answers."""
    print(message, file=sys.stderr, flush=True)


def locks_for(arguments: list[str]) -> list[Path]:
    """Return the lock that the command needs first, then those that it contains."""
    return [TEST_LOCK, RUNTIME_LOCK] if arguments[:1] == ["test"] else [RUNTIME_LOCK]


def digest(requirements: Path) -> str:
    """Return what tells one state of a lock from another."""
    return hashlib.sha256(requirements.read_bytes()).hexdigest()


def pins(requirements: Path) -> dict[str, str]:
    """Return name and version of what the lock asks for on every machine.

    Lines with a marker (another system, another Python) are left out: they can't be judged
    without a library.
    """
    line = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[^]]*])?==([^\s;]+)[ \t]*\\?$", re.MULTILINE)
    return dict(line.findall(requirements.read_text()))


def here_suffices(requirements: Path) -> bool:
    """Whether the Python that runs this has all that the lock names.

    Another version than the locked one is the administrator's choice: it is said, and used.
    """
    differing = []
    for name, version in pins(requirements).items():
        try:
            installed = importlib.metadata.version(name)
        except importlib.metadata.PackageNotFoundError:
            return False
        if installed != version:
            differing.append(f"{name} {installed} (locked: {version})")
    if differing:
        say(f"Note: other versions than in {requirements.name}: {', '.join(differing)}")
    return True


def inside_venv() -> bool:
    """Whether the Python that runs this is the one in `.venv`."""
    return Path(sys.prefix).resolve() == VENV.resolve()


def venv_python() -> Path:
    """Return the Python in `.venv`."""
    return VENV / "bin" / "python"


def venv_version() -> str | None:
    """Return the version of the Python in `.venv`, None where there is none that runs."""
    if inside_venv():
        return ".".join(map(str, sys.version_info[:2]))
    script = "import sys; print('%d.%d' % sys.version_info[:2])"
    asked = [str(venv_python()), "-I", "-S", "-c", script]
    try:
        answer = subprocess.run(asked, capture_output=True, text=True, check=True, timeout=60)
    except (OSError, subprocess.SubprocessError):
        return None
    return answer.stdout.strip()


def read_stamp() -> dict[str, str]:
    """Return what was installed into `.venv` last: digests by lock, and the Python's version."""
    try:
        stamp = json.loads(STAMP.read_text())
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def is_ready(requirements: Path) -> bool:
    """Whether `.venv` is finished and holds what the lock says today."""
    if UNFINISHED.exists():
        return False
    stamp = read_stamp()
    same = stamp.get(requirements.name) == digest(requirements)
    return same and stamp.get("python") == venv_version()


@contextmanager
def alone() -> Iterator[int]:
    """Let one set-up work at a time; a second one waits for the first.

    The lock is on the folder itself. Programs started meanwhile are given it too: where this
    process is killed and an installer lives on, the next set-up still waits for its end.
    """
    folder = os.open(ROOT, os.O_RDONLY)
    try:
        try:
            fcntl.flock(folder, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            say("Another set-up is at work in this folder; waiting for it ...")
            fcntl.flock(folder, fcntl.LOCK_EX)
        yield folder
    finally:
        os.close(folder)


def run(command: list[str], lock: int) -> bool:
    """Run a program of the set-up, its output shown; whether it did its work."""
    return subprocess.run(command, check=False, pass_fds=(lock,)).returncode == 0


def working_uv() -> str | None:
    """Return the path of uv where there is one that runs."""
    found = shutil.which("uv")
    if found is None:
        return None
    try:
        subprocess.run([found, "--version"], capture_output=True, check=True, timeout=60)
    except (OSError, subprocess.SubprocessError):
        return None
    return found


def make_venv(base: str, uv: str | None, lock: int) -> None:
    """Make an empty `.venv`, marked as unfinished from its first moment."""
    if VENV.is_symlink() or VENV.is_file():
        VENV.unlink()
    shutil.rmtree(VENV, ignore_errors=True)
    VENV.mkdir()
    UNFINISHED.touch()
    if importlib.util.find_spec("venv") and importlib.util.find_spec("ensurepip"):
        made = run([base, "-m", "venv", str(VENV)], lock)
    elif uv is not None:
        made = run([uv, "venv", "--quiet", "--allow-existing", "--python", base, str(VENV)], lock)
    else:
        shutil.rmtree(VENV)
        version = ".".join(map(str, sys.version_info[:2]))
        sudo = "" if os.geteuid() == 0 else "sudo "
        sys.exit(
            f"Python {version} here has no venv module. On Debian or Ubuntu:\n\n"
            f"    {sudo}apt-get install python{version}-venv\n\n"
            "then give the same command again."
        )
    if not made:
        sys.exit(f"Making {VENV} failed, see above.")


def install(requirements: Path, uv: str | None, lock: int) -> None:
    """Install what the requirements say, each file checked against its hash."""
    python = str(venv_python())
    hashed = ["install", "--quiet", "--require-hashes", "-r", str(requirements)]
    if uv is not None:
        if run([uv, "pip", *hashed, "--python", python], lock):
            return
        # uv does not read pip's settings: where it can't reach an index, pip perhaps can.
        say("uv could not do it; trying pip ...")
    if not (VENV / "bin" / "pip").exists():
        run([python, "-m", "ensurepip"], lock)
    if not run([python, "-m", "pip", "--disable-pip-version-check", "--no-input", *hashed], lock):
        sys.exit(
            f"Installing {requirements.name} failed, see above. Where this machine reaches "
            "packages only through a mirror, name it in pip's settings, then give the same "
            "command again."
        )


def set_up(wanted: list[Path]) -> None:
    """Bring `.venv` to the state of the locks; what an interrupted set-up left is made anew."""
    with alone() as lock:
        if is_ready(wanted[0]):
            return
        began = time.monotonic()
        uv = working_uv()
        version = venv_version()
        moved = read_stamp().get("python") not in {None, version}
        if UNFINISHED.exists() or version is None or moved:
            say(f"Making {VENV} (once) ...")
            make_venv(getattr(sys, "_base_executable", None) or sys.executable, uv, lock)
        # From here to the stamp, whatever stops the work leaves a mark: a package written by half
        # can't be told from a whole one afterwards.
        UNFINISHED.touch()
        say(f"Installing {len(pins(wanted[0]))} packages with {'uv' if uv else 'pip'} ...")
        install(wanted[0], uv, lock)
        stamp = {each.name: digest(each) for each in wanted} | {"python": venv_version()}
        STAMP.write_text(json.dumps(stamp))
        UNFINISHED.unlink()
        say(f"Set up in {time.monotonic() - began:.0f} s.")


def enter_environment(arguments: list[str]) -> None:
    """Return once Django and all else can be imported, if need be in a new process."""
    if sys.version_info < OLDEST_PYTHON:
        sys.exit(
            f"Python {'.'.join(map(str, OLDEST_PYTHON))} or newer is needed; "
            f"this is {sys.version.split()[0]} ({sys.executable})."
        )
    wanted = locks_for(arguments)
    if not inside_venv() and here_suffices(wanted[0]):
        return
    if is_ready(wanted[0]):
        if inside_venv():
            return
    elif os.environ.get(STARTED_AGAIN):
        sys.exit(f"{VENV} does not work though it was just set up. Delete it and try again.")
    else:
        try:
            set_up(wanted)
        except OSError as error:
            sys.exit(f"Setting up {VENV} failed: {error}")
    os.environ[STARTED_AGAIN] = "1"
    os.execv(venv_python(), [str(venv_python()), str(ROOT / "manage.py"), *arguments])  # noqa: S606


def main() -> None:
    """Run the command."""
    arguments = sys.argv[1:]
    try:
        enter_environment(arguments)
    except KeyboardInterrupt:
        sys.exit("Stopped. The same command starts the set-up again.")
    os.environ.pop(STARTED_AGAIN, None)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "advisory.config.settings")
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
