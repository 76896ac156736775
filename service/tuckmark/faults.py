"""What can be wrong with a document or a job, said in one shape everywhere.

A *fault* stops the work: the document breaks the published schema, or no plan
exists for it. A *warning* (see ``plan.py``) comes with a plan.
"""

from collections.abc import Callable
from typing import TypeVar

from msgspec import Struct

Answer = TypeVar("Answer")
Scalar = str | int | float | bool | None


class Fault(Struct, frozen=True):
    """One violation: where it is, what is allowed, and what to do.

    Attributes:
        pointer: JSON Pointer (RFC 6901) into the given document; "" is the whole document.
        code: our own stable code, listed at ``/problems``.
        detail: one sentence in the words of the trade.
        allowed: what would have been accepted, if that can be said shortly.
        given: the offending scalar; None when it is not one or was not given.
        hint: what to write or do instead, if the intent is plain.
    """

    pointer: str
    code: str
    detail: str
    allowed: tuple[Scalar, ...] | str | None = None
    given: Scalar = None
    hint: str | None = None


class Refused(Exception):  # noqa: N818 - a refusal is an answer of the service, not an error of the program
    """No plan exists for this document; carries every fault found."""

    def __init__(self, faults: tuple[Fault, ...]) -> None:
        super().__init__("; ".join(fault.detail for fault in faults))
        self.faults = faults


class Collected:
    """Faults of parts that are judged one by one, so that all are told at once."""

    def __init__(self, *found: Fault) -> None:
        self.faults = list(found)

    def attempt(self, part: Callable[[], Answer]) -> Answer | None:
        """The part's answer; None, with its faults kept, where it is refused."""
        try:
            return part()
        except Refused as refused:
            self.faults += [fault for fault in refused.faults if fault not in self.faults]
            return None

    def raise_any(self) -> None:
        """Refuse if anything was found.

        Raises:
            Refused: with every fault found so far.
        """
        if self.faults:
            raise Refused(tuple(self.faults))
