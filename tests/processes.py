"""Which processes a process has started."""

from contextlib import suppress
from pathlib import Path

from advisory.common.smtp import COURIER


def couriers_of(pid: int) -> list[int]:
    """Return the couriers that a process has at work (Linux tells it in /proc, see proc(5))."""
    named = str(COURIER).encode()
    couriers = []
    for path in Path(f"/proc/{pid}/task").glob("*/children"):
        with suppress(FileNotFoundError, ProcessLookupError):  # it ended meanwhile
            for child in path.read_text().split():
                with suppress(FileNotFoundError, ProcessLookupError):
                    told = Path(f"/proc/{child}/cmdline").read_bytes()
                    couriers += [int(child)] if named in told.split(b"\0") else []
    return couriers
