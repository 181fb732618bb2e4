"""Become another program, which the kernel ends as soon as the parent process has ended.

    python -I -S tied.py PARENT SIGNAL USER PROGRAM [ARGUMENT ...]

PARENT is the parent's process id, SIGNAL the number of the signal that ends the program, USER a
user id to change to or `-`. A program of its own rather than code between fork and exec: that is
safe when the parent has threads. Standard library alone. Where the kernel has no such service
(anything but Linux) the program is started untied.
"""

import ctypes
import os
import sys

PR_SET_PDEATHSIG = 1


def main() -> None:
    """Tie this process to its parent, then become the program."""
    parent, signal, user, *command = sys.argv[1:]
    if user != "-":
        os.setgroups([])
        os.setgid(int(user))
        os.setuid(int(user))
    if sys.platform == "linux":
        # After the change of user, which would undo it.
        ctypes.CDLL(None, use_errno=True).prctl(PR_SET_PDEATHSIG, int(signal), 0, 0, 0)
    if os.getppid() != int(parent):
        sys.exit("The parent ended first.")
    try:
        os.execvp(command[0], command)  # noqa: S606
    except OSError as error:
        sys.exit(f"{command[0]}: {error.strerror}")


if __name__ == "__main__":
    main()
