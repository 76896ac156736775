"""How a plan can be shown: one row for each format."""

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

import orjson

#: top-level keys of a plan, in order; ``join`` stands in the place of ``ends``
PLAN_KEYS: Final = (
    "plan_version", "digest", "made_with", "usable", "job", "read_as", "rope", "ends", "join",
    "marks", "steps", "tools", "lengths", "strength", "advice", "warnings", "cautions",
    "sources", "links",
)  # fmt: skip
#: keys that no choice of fields leaves out
ALWAYS_SHOWN: Final = frozenset({"digest", "usable", "warnings"})

Fields = Collection[str] | None


@dataclass(frozen=True, slots=True)
class Representation:
    """One format of a plan.

    Attributes:
        media_type: what it is called in ``Accept``.
        write: the plan, and which top-level keys are wanted (None is all), to bytes.
    """

    media_type: str
    write: Callable[[Mapping[str, Any], Fields], bytes]


def json_bytes(value: Any) -> bytes:
    """A JSON answer; equal values give equal bytes."""
    return orjson.dumps(value, option=orjson.OPT_APPEND_NEWLINE)


def _json(plan: Mapping[str, Any], fields: Fields) -> bytes:
    if fields is None:
        return json_bytes(plan)
    shown = ALWAYS_SHOWN.union(fields)
    return json_bytes({key: value for key, value in plan.items() if key in shown})


#: by the name that ``format`` takes, the preferred one first
REPRESENTATIONS: Final[Mapping[str, Representation]] = MappingProxyType(
    {
        "json": Representation("application/json", _json),
    }
)


def of_media_type(media_type: str) -> Representation:
    """The representation that answers with a media type."""
    return next(item for item in REPRESENTATIONS.values() if item.media_type == media_type)
