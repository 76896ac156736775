"""A spec of every family in the registry, for the tests of this folder."""

import copy
from typing import Any

from tuckmark.families import REGISTRY

Json = dict[str, Any]

#: `plain` is an end without a splice
SPLICES = tuple(name for name in REGISTRY if name != "plain")


def minimal(name: str) -> Json:
    """The spec that a family offers as its smallest."""
    return copy.deepcopy(REGISTRY[name].minimal_spec)


def back_splice_in_double_braid() -> Json:
    """One family, made another way in another rope: other marks than its minimal spec has."""
    return {
        "schema_version": "1.0",
        "rope": {
            "construction": "double_braid",
            "fibre": "polyester",
            "size": {"diameter": "12 mm"},
        },
        "ends": {"a": {"splice": "back_splice"}},
    }


def splices_of(spec: Json) -> dict[str, str]:
    """What is made at each place of a spec: ``a``, ``b``, ``both`` or ``join``."""
    if "join" in spec:
        return {"join": spec["join"]["splice"]}
    return {place: end["splice"] for place, end in spec["ends"].items()}
