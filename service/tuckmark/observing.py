"""What a pipeline tells whoever watches it: how long each stage took, and what came out."""

from collections.abc import Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from typing import Any, Final, Literal, Protocol

from tuckmark.faults import Fault

Stage = Literal["judge", "read", "plan", "write"]


class Observer(Protocol):
    """Something that watches a pipeline and changes nothing."""

    def stage(self, name: Stage) -> AbstractContextManager[None]:
        """Around each stage of the way from document to plan."""

    def planned(self, plan: Mapping[str, Any]) -> None:
        """A plan was made."""

    def refused(self, code: str, faults: Sequence[Fault]) -> None:
        """No plan exists, or the document is no spec."""


_UNWATCHED: Final = nullcontext()


class _Nobody:
    """Watches nothing."""

    def stage(self, name: Stage) -> AbstractContextManager[None]:  # noqa: ARG002 - the protocol's name
        return _UNWATCHED

    def planned(self, plan: Mapping[str, Any]) -> None:
        pass

    def refused(self, code: str, faults: Sequence[Fault]) -> None:
        pass


NOBODY: Final[Observer] = _Nobody()
