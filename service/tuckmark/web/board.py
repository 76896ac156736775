"""A few bytes that the master and its workers share, made before the workers are forked."""

import mmap
from typing import Final

#: workers there can be at a time, those about to leave included
SLOTS: Final = 256
_STOPPING: Final = 0
_FIRST_SLOT: Final = 1


class Board:
    """Who is to stop, and who wants to be relieved.

    One byte each, written by one side only, so that no lock is needed.
    """

    def __init__(self) -> None:
        self._bytes = mmap.mmap(-1, _FIRST_SLOT + SLOTS)

    @property
    def stopping(self) -> bool:
        """Whether the whole service is about to stop; readiness goes by it."""
        return bool(self._bytes[_STOPPING])

    def announce_stop(self) -> None:
        """Called by the master, before any worker is told to stop."""
        self._bytes[_STOPPING] = 1

    def ask_relief(self, slot: int) -> None:
        """Called by a worker that has served long enough."""
        self._bytes[_FIRST_SLOT + slot] = 1

    def wants_relief(self, slot: int) -> bool:
        """Whether the worker of a slot has asked to be replaced."""
        return bool(self._bytes[_FIRST_SLOT + slot])

    def clear(self, slot: int) -> None:
        """Called by the master when it gives a slot to a new worker."""
        self._bytes[_FIRST_SLOT + slot] = 0
