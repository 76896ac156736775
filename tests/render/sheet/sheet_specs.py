"""Specs for sheets: of every family the shortest plan and the longest, and hostile words."""

import copy
from typing import Any, Final

from tuckmark import published
from tuckmark.families import REGISTRY
from tuckmark.pipeline import Rejected, default_pipeline

Json = dict[str, Any]

SPLICES: Final = tuple(name for name in REGISTRY if name != "plain")
UNITS: Final = ("metric", "inch")
PAGES: Final = ("a4", "letter")
#: as long as the published schema lets each be
WIDE: Final = "W" * 60
SENTENCE: Final = "Überlänge für Ζέφυρος, Чайка und Ångström, " * 5
LONG_JOB: Final = {
    "order": "LW-2399-" + "8" * 52,
    "item": WIDE,
    "description": SENTENCE[:200],
    "quantity": 10000,
    "references": {f"{n:02d} {'reference ' * 6}"[:60]: WIDE for n in range(20)},
}
#: words that would break out of a sheet, if they could
HOSTILE: Final = {
    "typst markup": '#panic("out") #import "x" *bold* $x$ @a <b> `c` \\ #set page(width: 1mm)',
    "markup": "</td></table><script>alert(1)</script><img src=x onerror=alert(1)>&amp;{{ 7*7 }}",
    "quotes": '"\' onfocus=alert(1) x="${7*7}`',
    "right to left": "\u202emirrored\u202c \u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d \u2067x",
    "far scripts": "\u4fc2\u7e9c\u7d22 \u30ed\u30fc\u30d7 \u0930\u0938\u094d \U0001faa2",
    "one long word": "Knotenlosestauwerk" * 11,
    "one long far word": "\u7d22" * 200,
    "stacked marks": "Z" + "\u0300\u0301\u0302\u0303" * 20 + "algo",
    "no letters": "\u200b\u200d\ufeff\u00ad\ufffe\ufffd\U000e0001",
}
#: a stop, a decision and notes on one plan
STOPPED: Final = {
    "schema_version": "1.0",
    "job": {"order": "LW-2398", "description": "to be refused at the bench"},
    "rope": {
        "construction": "single_braid_12",
        "fibre": "hmpe",
        "size": {"diameter": "24 mm"},
        "breaking_strength": {"force": "480 kN", "basis": "unspliced"},
        "condition": "used",
    },
    "ends": {
        "both": {
            "splice": "straight_bury_eye",
            "bury_diameters": 40,
            "stitching": "none",
            "eye": {"form": "pin", "pin_diameter": "40 mm", "inside_length": "100 mm"},
        }
    },
    "length": {"finished": "18 m", "tolerance": "1 mm"},
    "use": {"duty": "towing", "working_load": "400 kN"},
}


def shortest(name: str) -> Json:
    """The least that a family can be asked for."""
    return copy.deepcopy(dict(REGISTRY[name].minimal_spec))


def longest(name: str) -> Json:
    """The same with everything said at length, and the same splice at both ends."""
    spec = shortest(name)
    spec["job"] = LONG_JOB
    spec["rope"]["breaking_strength"] = {"force": "480 kN", "basis": "unknown"}
    spec["use"] = {"duty": "towing", "working_load": "300 kN", "temperature": "55 degC"}
    if "ends" in spec:
        made = next(end for end in spec["ends"].values() if end["splice"] == name)
        spec["ends"] = {"both": made}
        spec["length"] = {"finished": "98765 mm", "tolerance": "1 mm"}
    for rope in spec.get("join", {}).get("ropes", ()):
        rope["length"] = "98765 mm"
    return spec


def in_words_of(text: str) -> Json:
    """A spec in which a text stands wherever a text of the user's may stand."""
    spec = longest("locked_bury_eye")
    spec["ends"]["both"]["eye"]["captive"] = text[:60]
    spec["job"] = {
        "order": text[:60],
        "item": text[:60],
        "description": text[:200],
        "quantity": 2,
        "references": {text[:60]: text[:60]},
    }
    return spec


def sheets(kind: str) -> list[tuple[str, str]]:
    """Units and paper that a kind is tried in: hostile words in two ways, all else in every way."""
    if kind.startswith("hostile"):
        return [("metric", "a4"), ("inch", "letter")]
    return [(units, page) for units in UNITS for page in PAGES]


def plan_of(spec: Json, units: str = "metric") -> Json:
    """The plan of a spec, in the units asked for."""
    asked = {**spec, "display": {"units": units}}
    try:
        return default_pipeline().plan(asked)
    except Rejected as rejected:  # a test that asks for no plan is wrong: say what is refused
        raise AssertionError(
            [f"{f.pointer}: {f.code}: {f.detail}" for f in rejected.faults]
        ) from rejected


def kinds() -> dict[str, Json]:
    """Every kind of spec that sheets are tried on."""
    found = {f"{name}, shortest": shortest(name) for name in SPLICES}
    found |= {f"{name}, longest": longest(name) for name in SPLICES}
    found |= {f"hostile: {name}": in_words_of(text) for name, text in HOSTILE.items()}
    found["stopped"] = copy.deepcopy(STOPPED)
    found["respliced"] = copy.deepcopy(dict(published.examples()["towing-pendant"]))
    found["respliced"]["length"]["resplice"] = {"end": "a", "cut_back": "3 m"}
    return found
