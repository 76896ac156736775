"""The plan as JSON: its keys, and which of them always stay."""

from typing import Any, Final

import orjson

#: top-level keys of a plan, in order; ``join`` stands in the place of ``ends``
PLAN_KEYS: Final = (
    "plan_version", "digest", "made_with", "usable", "job", "read_as", "rope", "ends", "join",
    "marks", "steps", "tools", "lengths", "strength", "advice", "warnings", "cautions",
    "sources", "links", "display",
)  # fmt: skip
#: keys that no choice of fields leaves out
ALWAYS_SHOWN: Final = frozenset({"digest", "usable", "warnings"})


def json_bytes(value: Any) -> bytes:
    """A JSON answer; equal values give equal bytes."""
    return orjson.dumps(value, option=orjson.OPT_APPEND_NEWLINE)
