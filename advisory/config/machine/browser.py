"""The browser that tests drive: found, or installed where that is possible."""

import ctypes.util
import os
import shutil
import subprocess

NAMES = ("chromium", "chromium-browser")
# The driver's own runtime needs the second.
PACKAGES = ("chromium", "libatomic1")
HOW_TO_GET_IT = "apt-get install chromium libatomic1 (or name one in the variable CHROMIUM)"
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
    quiet = os.environ | {"DEBIAN_FRONTEND": "noninteractive"}
    for arguments in (["update"], ["install", "--yes", "--no-install-recommends", *PACKAGES]):
        done = subprocess.run(
            ["apt-get", "--quiet", "--quiet", *arguments],
            env=quiet,
            check=False,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
        )
        if done.returncode != 0:
            return False
    return find_chromium() is not None
