"""A time budget that is counted down, whatever uses it up."""

import time


class Clock:
    """Counts down from a number of seconds."""

    def __init__(self, budget_s: float) -> None:
        self._end = time.monotonic() + budget_s

    @property
    def left_s(self) -> float:
        """Seconds left; never less than 0."""
        return max(0.0, self._end - time.monotonic())

    @property
    def is_up(self) -> bool:
        """Whether the time is used up."""
        return self.left_s == 0.0

    def part(self, share: float) -> "Clock":
        """A clock for a share of what is left."""
        return Clock(share * self.left_s)
