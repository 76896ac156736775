"""An answer that is made while it is taken, for as long as its client keeps up."""

import errno
import logging
import time
from collections.abc import Iterator
from contextlib import AbstractContextManager, ExitStack
from typing import Final

_LOG: Final = logging.getLogger(__name__)
#: how long a client may keep a whole answer waiting
PATIENCE_S: Final = 20.0
#: and besides for each part of it: a line of a batch has some 25 kB, so that is about 1 Mbit/s
PATIENCE_A_PART_S: Final = 0.2


class Parts(Iterator[bytes]):
    """An answer in parts. While it is taken it has its turn, which ends with it however it ends.

    Args:
        parts: each is made when the one before was taken.
        turn: entered at once.

    Attributes:
        request_id: for the log.
        given_bytes: how much of it was given so far.
    """

    def __init__(self, parts: Iterator[bytes], turn: AbstractContextManager[None]) -> None:
        self.request_id = ""
        self.given_bytes = 0
        self._held = ExitStack()
        self._held.enter_context(turn)
        self._parts = parts
        self._taken = 0
        self._waited_s = 0.0
        self._given_at: float | None = None

    def __next__(self) -> bytes:
        """The next part.

        Raises:
            ConnectionResetError: the client takes too little; its connection is to be ended.
        """
        try:
            self._check_pace()
            part = next(self._parts)
        except BaseException:
            self.close()
            raise
        self._given_at = time.monotonic()
        self.given_bytes += len(part)
        return part

    def close(self) -> None:
        """Called by the server when the answer was taken, or the client is gone."""
        self._held.close()

    def __del__(self) -> None:
        self.close()

    def _check_pace(self) -> None:
        if self._given_at is None:
            return
        self._taken += 1
        self._waited_s += time.monotonic() - self._given_at
        if self._waited_s > PATIENCE_S + PATIENCE_A_PART_S * self._taken:
            _LOG.warning(
                "request %s ended: its client took %d parts of the answer in %.0f s",
                self.request_id,
                self._taken,
                self._waited_s,
            )
            raise ConnectionResetError(errno.ECONNRESET, "the client takes too little")
