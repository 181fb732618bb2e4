"""The browser that tests drive: found, or installed where that is possible."""

import ctypes.util
import os
import shutil
import subprocess

# The first draws pages and no windows around them: tests take two thirds of the time with it.
NAMES = ("chromium-headless-shell", "chromium", "chromium-browser")
# The driver's own runtime needs the second; the first is tried in each kind until one is there.
KINDS = ("chromium-headless-shell", "chromium")
NEEDED_BESIDE = "libatomic1"
HOW_TO_GET_IT = (
    "apt-get install chromium-headless-shell libatomic1, or chromium in its place (or name one in "
    "the variable CHROMIUM)"
)
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # Whatever a page asks for, no name but this machine's is looked up.
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
)


def find_chromium() -> str | None:
    """Return the path of a browser that can be driven, None where there is none."""
    if ctypes.util.find_library("atomic") is None:
        return None
    if named := os.environ.get("CHROMIUM"):
        return shutil.which(named)
    return next((path for name in NAMES if (path := shutil.which(name))), None)


def can_install() -> bool:
    """Whether packages may be installed here."""
    return os.geteuid() == 0 and shutil.which("apt-get") is not None


def install_chromium() -> bool:
    """Install the browser from the system's packages; whether there is one afterwards."""
    if not _apt_get("update"):
        return False
    for kind in KINDS:
        if _apt_get("install", "--yes", "--no-install-recommends", kind, NEEDED_BESIDE):
            return find_chromium() is not None
    return False


def _apt_get(*arguments: str) -> bool:
    done = subprocess.run(
        ["apt-get", "--quiet", "--quiet", *arguments],
        env=os.environ | {"DEBIAN_FRONTEND": "noninteractive"},
        check=False,
        stdin=subprocess.DEVNULL,
        stdout=subprocess.DEVNULL,
    )
    return done.returncode == 0
