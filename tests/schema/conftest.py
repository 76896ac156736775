"""Plans of many kinds to hold against the published schema of plans."""

import json
from typing import Any

import pytest

from tuckmark import published
from tuckmark.families import REGISTRY
from tuckmark.pipeline import default_pipeline

Json = dict[str, Any]

ROPE = {"construction": "single_braid_12", "fibre": "hmpe", "size": {"diameter": "24 mm"}}
FLAT = {"form": "flat", "inside_length": "600 mm"}
PIN = {"form": "pin", "pin_diameter": "90 mm", "length_ratio": 5}
STRAIGHT = {"splice": "straight_bury_eye", "eye": FLAT}
LOCKED = {"splice": "locked_bury_eye", "eye": PIN}
LENGTH = {"finished": "18 m"}
STRENGTH = {"force": "480 kN", "basis": "unspliced"}


def spec(rope: Json | None = None, ends: Json | None = None, **sections: Any) -> Json:
    """A spec of a straight bury in HMPE, but for what is given."""
    document = {"schema_version": "1.0", "rope": ROPE | (rope or {}), **sections}
    return document if "join" in sections else document | {"ends": ends or {"a": STRAIGHT}}


VARIANTS: dict[str, Json] = {
    "nothing that is optional": spec(),
    "finished length": spec(length=LENGTH),
    "rope available": spec(length={"available": "30 m"}),
    "inches": spec(
        {"size": {"diameter": "15/16 in"}, "breaking_strength": STRENGTH | {"force": "108000 lbf"}},
        {"a": LOCKED, "b": STRAIGHT},
        length={"finished": "60 ft"},
        use={"duty": "mooring", "working_load": "9000 lbf", "temperature": "-20 degF"},
        display={"units": "inch", "inch_fraction": 64},
    ),
    "inches under an inch": spec(
        {"size": {"diameter": "1/8 in"}}, length={"finished": "10 ft"}, display={"units": "inch"}
    ),
    "both ends alike": spec(ends={"both": LOCKED}, length=LENGTH),
    "stitched lock": spec(ends={"a": LOCKED | {"stitching": "cross_stitch"}}),
    "other lock": spec(ends={"a": LOCKED | {"lock": {"picks": [1, 3]}}}),
    "plain end": spec(
        ends={"a": {"splice": "plain", "end_allowance": "300 mm"}, "b": STRAIGHT}, length=LENGTH
    ),
    "round thimble": spec(
        ends={"a": STRAIGHT | {"eye": {"form": "thimble", "score_diameter": "60 mm"}}},
        length=LENGTH | {"between": "throats"},
    ),
    "thimble by its seat": spec(
        ends={
            "a": STRAIGHT
            | {"eye": {"form": "thimble", "seat_perimeter": "180 mm", "bearing_length": "75 mm"}}
        },
        length=LENGTH,
    ),
    "eye by its perimeter": spec(
        ends={
            "a": STRAIGHT
            | {"eye": {"form": "perimeter", "perimeter": "1200 mm", "perimeter_of": "inside"}}
        }
    ),
    "captive hardware": spec(ends={"a": STRAIGHT | {"eye": FLAT | {"captive": "bow shackle"}}}),
    "taper by the fid": spec(
        ends={"a": STRAIGHT | {"taper": {"pattern": [1, 1, 1], "measured_by": "fid"}}}
    ),
    "pin centres": spec(ends={"both": LOCKED}, length=LENGTH | {"between": "pin_centres"}),
    "after setting": spec(length=LENGTH | {"state": "after_setting", "tolerance": "1 mm"}),
    "measured rope": spec(
        {
            "fid_length": "510 mm",
            "pitch": "230 mm",
            "linear_density": "0.5 kg/m",
            "bury_shortening": 0.05,
            "bedding_in": 0.02,
            "coating": "uncoated",
            "condition": "used",
        },
        length=LENGTH,
    ),
    "size by circumference": spec({"size": {"circumference": "3 in"}}),
    "size by number": spec({"size": {"size_number": 3}}),
    "objects for quantities": spec(
        {"size": {"diameter": {"value": 24, "unit": "mm"}}},
        length={"finished": {"value": 60, "unit": "ft"}},
    ),
    "fibre without friction or bedding-in": spec(
        {"fibre": "pbo", "pitch": "230 mm"}, length=LENGTH
    ),
    "wet nylon": spec({"fibre": "nylon", "breaking_strength": STRENGTH}, use={"duty": "mooring"}),
    "dry nylon": spec({"fibre": "nylon", "breaking_strength": STRENGTH}, use={"wet": False}),
    "strength stated spliced": spec(
        {"breaking_strength": STRENGTH | {"basis": "spliced"}}, use={"design_factor": 5}
    ),
    "strength and load without a factor": spec(
        {"breaking_strength": STRENGTH | {"basis": "unknown"}}, use={"working_load": "40 kN"}
    ),
    "eye governs the strength": spec(
        {"breaking_strength": STRENGTH},
        {"a": LOCKED | {"eye": PIN | {"pin_diameter": "30 mm"}}},
        use={"duty": "rigging", "working_load": "4 kN"},
    ),
    "two ropes joined": spec(
        {"breaking_strength": STRENGTH},
        join={"splice": "end_to_end_bury", "ropes": [{"length": "30 m"}, {"length": "20 m"}]},
    ),
    "ropes of no length joined": spec(join={"splice": "end_to_end_bury", "ropes": [{}, {}]}),
    "loop": spec(
        {"breaking_strength": STRENGTH},
        join={"splice": "endless_bury_loop", "circumference": "12 m", "measured": "centre_line"},
        use={"duty": "lifting_sling", "working_load": "10 kN"},
    ),
    "loop of the rope available": spec(
        join={"splice": "endless_bury_loop"}, length={"available": "15 m"}
    ),
    "facts of another rope": spec({"lay": "z", "core_diameter": "16 mm"}),
    "job of many": spec(job={"order": "LW-2207", "quantity": 10000, "references": {"No. 1": "x"}}),
    "stop: load over the limit": spec(
        {"breaking_strength": STRENGTH}, use={"duty": "towing", "working_load": "400 kN"}
    ),
    "stop: short bury": spec(ends={"a": STRAIGHT | {"bury_diameters": 30}}),
    "stop: unstitched": spec(ends={"a": STRAIGHT | {"stitching": "none"}}),
    "stop: wire fid": spec({"fid_length": "250 mm"}),
    "stop: thin pin": spec(ends={"a": LOCKED | {"eye": PIN | {"pin_diameter": "20 mm"}}}),
    "stop: wide eye of a sling": spec(
        ends={"a": LOCKED | {"eye": PIN | {"length_ratio": 1.75}}}, use={"duty": "lifting_sling"}
    ),
    "stop: hot": spec(use={"temperature": "90 degC"}),
    "stop: cold": spec(use={"temperature": "-60 degC"}),
    "stop: small factor": spec(use={"duty": "towing", "design_factor": 2}),
    "most of everything": spec(
        {"breaking_strength": {"force": "40000 kN", "basis": "spliced"}},
        job={"quantity": 10000},
        length={"available": "200 m"},
    ),
}


def _documents() -> dict[str, Json]:
    return (
        {f"example {name}": dict(document) for name, document in published.examples().items()}
        | {f"least {name}": dict(family.minimal_spec) for name, family in REGISTRY.items()}
        | VARIANTS
    )


def _read_back(document: Any) -> Json:
    made: Json = json.loads(json.dumps(default_pipeline().plan(document)))
    return made


@pytest.fixture(scope="session", params=_documents().items(), ids=lambda item: item[0])
def plan(request: pytest.FixtureRequest) -> Json:
    """One plan after another, as a client reads it; those named stop are not usable."""
    return _read_back(request.param[1])


@pytest.fixture
def golden() -> Json:
    """The plan of the contract's own example, to be spoiled."""
    return _read_back(published.examples()["towing-pendant"])
