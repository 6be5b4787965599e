"""One writer at a time: a lock on the open log that the system lets go of when its holder dies."""

from __future__ import annotations

import sys
import time
from contextlib import suppress

_FIRST_PAUSE, _LONGEST_PAUSE = 0.001, 0.05

if sys.platform == "win32":
    import msvcrt
    import os

    _SPOT = 2**40  # a byte that no log reaches: locking one that exists would keep readers from it

    def try_lock(descriptor: int, *, shared: bool = False) -> bool:
        """True where the lock was to be had at once. Raises OSError where the file cannot be locked."""
        os.lseek(descriptor, _SPOT, os.SEEK_SET)
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        return True

    def unlock(descriptor: int) -> None:
        """Let go of the lock without closing the file."""
        os.lseek(descriptor, _SPOT, os.SEEK_SET)
        with suppress(OSError):
            msvcrt.locking(descriptor, msvcrt.LK_UNLCK, 1)

else:
    import fcntl

    def try_lock(descriptor: int, *, shared: bool = False) -> bool:
        """True where the lock was to be had at once. Raises OSError where the file cannot be locked."""
        try:
            fcntl.flock(descriptor, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def unlock(descriptor: int) -> None:
        """Let go of the lock without closing the file."""
        with suppress(OSError):
            fcntl.flock(descriptor, fcntl.LOCK_UN)


def wait_for_lock(descriptor: int, *, seconds: float, shared: bool = False) -> bool:
    """The lock, or False where another held it for about `seconds`; closing the file lets go of it."""
    waited, pause = 0.0, _FIRST_PAUSE
    while not try_lock(descriptor, shared=shared):
        if waited >= seconds:
            return False
        time.sleep(pause)
        waited, pause = waited + pause, min(pause * 2, _LONGEST_PAUSE)
    return True
