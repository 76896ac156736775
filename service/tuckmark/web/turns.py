"""Work that only so many may have done at a time, so that it never starves the plans."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from tuckmark.web import limits
from tuckmark.web.problems import ProblemError


class Turns:
    """So many at a time in each process of the service; who comes meanwhile is told to come again.

    Args:
        busy: problem that tells it.
        at_once: how many have their turn together.
    """

    def __init__(self, busy: str, at_once: int = 1) -> None:
        self._busy = busy
        self._free = threading.BoundedSemaphore(at_once)

    @contextmanager
    def taken(self) -> Iterator[None]:
        """A turn, from here to the end of the block.

        Raises:
            ProblemError: there is none left.
        """
        if not self._free.acquire(blocking=False):
            raise ProblemError(self._busy, headers={"Retry-After": limits.RETRY_AFTER_S})
        try:
            yield
        finally:
            self._free.release()
