"""Some of a plan's top-level keys, as a client chooses them."""

from collections.abc import Collection, Mapping
from typing import Any, Final

#: top-level keys of a plan, in order; ``join`` stands in the place of ``ends``
PLAN_KEYS: Final = (
    "plan_version", "digest", "made_with", "usable", "job", "read_as", "rope", "ends", "join",
    "marks", "steps", "tools", "lengths", "strength", "advice", "warnings", "cautions",
    "sources", "links", "display",
)  # fmt: skip
#: keys that no choice of fields leaves out
ALWAYS_SHOWN: Final = frozenset({"digest", "usable", "warnings"})


def excerpt(plan: Mapping[str, Any], fields: Collection[str] | None) -> Mapping[str, Any]:
    """The keys that were asked for and those that always stay; the whole plan for None."""
    if fields is None:
        return plan
    return {key: value for key, value in plan.items() if key in ALWAYS_SHOWN or key in fields}
