"""Short-lived folders: for sockets (whose paths must be short) and for what only this run needs."""

import fcntl
import os
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

PREFIX = "advisory-"
# A socket's path has room for 107 characters; what is put into such a folder has short names.
LONGEST_SOCKET_FOLDER = 80
# Between a folder's making and its lock lies a moment in which it looks abandoned.
SETTLED_AFTER = 60.0


def root_folder() -> Path:
    """Return where temporary files go on this machine, /tmp where that path is too long."""
    usual = Path(tempfile.gettempdir())
    return usual if len(str(usual)) <= LONGEST_SOCKET_FOLDER - 20 else Path("/tmp")  # noqa: S108


def _is_in_use(folder: Path) -> bool:
    """Whether the process that made the folder still lives: it holds a lock on it."""
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return True
    else:
        return False
    finally:
        os.close(descriptor)


def remove_left_behind(root: Path) -> None:
    """Remove the folders of runs that were killed before they could tidy up."""
    for folder in root.glob(f"{PREFIX}*.run"):
        try:
            about = folder.stat()
            settled = time.time() - about.st_ctime > SETTLED_AFTER
            if settled and about.st_uid == os.geteuid() and not _is_in_use(folder):
                shutil.rmtree(folder, ignore_errors=True)
        except OSError:
            continue


@contextmanager
def run_folder(purpose: str) -> Iterator[Path]:
    """Give a folder of one's own with a short path, gone afterwards."""
    root = root_folder()
    remove_left_behind(root)
    folder = Path(tempfile.mkdtemp(prefix=f"{PREFIX}{purpose}-", suffix=".run", dir=root))
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        fcntl.flock(descriptor, fcntl.LOCK_EX)
        yield folder
    finally:
        os.close(descriptor)
        shutil.rmtree(folder, ignore_errors=True)
