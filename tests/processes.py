"""Which processes a process has started."""

from pathlib import Path

from advisory.common.smtp import COURIER


def couriers_of(pid: int) -> list[int]:
    """Return the couriers that a process has at work (Linux tells it in /proc, see proc(5))."""
    children = " ".join(
        path.read_text() for path in Path(f"/proc/{pid}/task").glob("*/children")
    ).split()
    named = str(COURIER).encode()
    return [
        int(child)
        for child in children
        if named in Path(f"/proc/{child}/cmdline").read_bytes().split(b"\0")
    ]
