"""Over random specs of every family: the cut length gives the finished length back, and back.

Lengths are drawn in whole tenths of a millimetre and written in millimetres or inches. What a
plan prints is rounded to a tenth: the cut, and the length that comes of it, are each off by half
of one at the most, so that what comes back is off by one tenth and no more.
"""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from tuckmark.families import REGISTRY
from tuckmark.pipeline import Rejected, default_pipeline

Json = dict[str, Any]
Write = Callable[[int], str]

BOUNDED = settings(
    max_examples=30,
    deadline=None,
    derandomize=True,
    database=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
PRINTED_MM = 0.1 + 1e-9
#: long enough for any splice drawn here, and within what the service plans
FAR = "9000 m"

SYNTHETIC = ("polyester", "nylon", "polypropylene", "polyethylene")
HIGH_MODULUS = ("hmpe", "aramid", "lcp", "pbo")
NATURAL = ("manila", "sisal", "hemp", "cotton")
#: fibres of the part that carries the load, by the rope
FIBRES = {
    "single_braid_12": SYNTHETIC + HIGH_MODULUS,
    "double_braid": SYNTHETIC,
    "core_dependent_double_braid": HIGH_MODULUS,
    "laid_3": SYNTHETIC + NATURAL,
    "laid_4": SYNTHETIC + NATURAL,
    "plaited_8": SYNTHETIC,
}
#: what may stand at the other end: a splice of the same rope, by what is made at this one
BESIDE = {
    "single_braid_12": ("locked_bury_eye", "straight_bury_eye", "interlocked_eye", "tucked_eye_12"),
    "double_braid": ("cover_core_eye", "back_splice"),
    "core_dependent_double_braid": ("core_bury_eye",),
    "laid_3": ("tucked_eye", "back_splice"),
    "laid_4": ("tucked_eye", "back_splice"),
    "plaited_8": ("plaited_eye",),
}
STATES = ("as_spliced", "after_setting")
BURIED = ("locked_bury_eye", "straight_bury_eye", "interlocked_eye")
JOINS = tuple(name for name, family in REGISTRY.items() if family.plan_join)
TWO_ROPES = tuple(name for name in JOINS if name != "endless_bury_loop")
GUIDANCE = ("plaited_eye", "plaited_end_to_end")
RECKONED = tuple(name for name in REGISTRY if name not in GUIDANCE)

further = st.one_of(st.just(0), st.integers(0, 500_000))
long_ropes = st.integers(5_000_000, 49_000_000)


def mm(tenths: int) -> str:
    """A length as a spec writes it."""
    return f"{tenths // 10}.{tenths % 10} mm"


def inches(tenths: int) -> str:
    """The same as exactly as six decimals of an inch can say it."""
    return f"{tenths / 254:.6f} in"


@st.composite
def ropes(draw: st.DrawFn, construction: str, tenths_d: int, write: Write) -> Json:
    fibre = draw(st.sampled_from(FIBRES[construction]))
    rope: Json = {"construction": construction, "fibre": fibre}
    if construction == "core_dependent_double_braid":
        rope |= {"fibre": draw(st.sampled_from(SYNTHETIC)), "core_fibre": fibre}
    sizes: list[Json] = [
        {"diameter": write(tenths_d)},
        {"circumference": write(3 * tenths_d)},
        {"size_number": tenths_d / 80},
    ]
    rope["size"] = draw(st.sampled_from(sizes))
    if "braid" in construction and draw(st.booleans()):
        rope["fid_length"] = write(draw(st.integers(20, 23)) * tenths_d)
    if construction == "plaited_8" or (construction == "single_braid_12" and draw(st.booleans())):
        rope["pitch"] = write(draw(st.integers(7, 11)) * tenths_d)
    if construction.startswith("laid") and draw(st.booleans()):
        rope["lay_length"] = write(draw(st.integers(30, 35)) * tenths_d // 10)
    if draw(st.booleans()):
        rope["bedding_in"] = draw(st.sampled_from([0, 0.015, 0.1, 0.2]))
    if construction == "single_braid_12" and draw(st.booleans()):
        rope["bury_shortening"] = draw(st.sampled_from([0, 0.0625, 0.2]))
    return rope


@st.composite
def eyes(draw: st.DrawFn, tenths_d: int, write: Write) -> Json:
    long = draw(st.integers(4 * tenths_d, 60 * tenths_d))
    forms: list[Json] = [
        {"form": "flat", "inside_length": write(long)},
        {"form": "perimeter", "perimeter": write(3 * long), "perimeter_of": "inside"},
        {"form": "perimeter", "perimeter": write(3 * long), "perimeter_of": "centre_line"},
        {"form": "pin", "pin_diameter": write(long), "length_ratio": 3.5},
        {"form": "thimble", "score_diameter": write(long), "bearing_length": write(2 * long)},
        {"form": "thimble", "seat_perimeter": write(3 * long), "bearing_length": write(2 * long)},
    ]
    return draw(st.sampled_from(forms))


@st.composite
def end_splices(draw: st.DrawFn, name: str, tenths_d: int, write: Write) -> Json:
    end: Json = {"splice": name}
    if name not in ("plain", "back_splice"):
        end["eye"] = draw(eyes(tenths_d, write))
    if name == "plain":
        end["end_allowance"] = write(draw(st.integers(1, 40)) * tenths_d)
    if name in BURIED and draw(st.booleans()):
        end["bury"] = write(draw(st.integers(55, 120)) * tenths_d)
    if name == "tucked_eye" and draw(st.booleans()):
        end["thinning"] = draw(st.sampled_from(["yarns", "tucks", "strands"]))
    if name in ("tucked_eye", "back_splice") and draw(st.booleans()):
        end["tucks"] = draw(st.integers(3, 8))
    return end


@st.composite
def targets(draw: st.DrawFn, spec: Json) -> Json:
    """How the length is measured and in which state, as far as the spec lets it be said."""
    if spec.get("join", {}).get("splice") == "endless_bury_loop":
        return {}
    known = "bedding_in" in spec["rope"]
    target = {"state": draw(st.sampled_from(STATES if known else STATES[:1]))}
    if "ends" in spec:
        target["between"] = draw(st.sampled_from(["bearing_points", "throats"]))
    return target


@st.composite
def specs(draw: st.DrawFn, name: str) -> Json:
    """A spec of the family, of any rope it takes, without a length yet."""
    constructions = [rope for rope in REGISTRY[name].ropes if rope in FIBRES]
    if name == "plain":  # beside guidance there is no length
        constructions.remove("plaited_8")
    construction = draw(st.sampled_from(constructions))
    tenths_d = draw(st.integers(60, 640))
    units = draw(st.sampled_from(["metric", "inch"]))
    write = inches if units == "inch" else mm
    rope = draw(ropes(construction, tenths_d, write))
    spec: Json = {"schema_version": "1.0", "rope": rope, "display": {"units": units}}
    if name in JOINS:
        spec["join"] = {"splice": name}
        if name in TWO_ROPES:
            spec["join"]["ropes"] = [{}, {}]
        return spec
    others = BESIDE[construction] if name == "plain" else (*BESIDE[construction], "plain")
    own, beside = (
        draw(end_splices(one, tenths_d, write)) for one in (name, draw(st.sampled_from(others)))
    )
    ends = [{"a": own, "b": beside}, {"a": beside, "b": own}]
    if name != "plain":
        ends += [{"a": own}, {"both": own}]
    return spec | {"ends": draw(st.sampled_from(ends))}


def plan_of(spec: Json) -> Json:
    """Its plan, which it must have."""
    return default_pipeline().plan(spec)


def planned(spec: Json) -> Json:
    """Its plan; a spec without one says nothing of lengths."""
    try:
        return plan_of(spec)
    except Rejected as rejected:
        assume(rejected.code != "not_plannable")
        raise


def shortest_tenths(spec: Json, target: Json) -> int:
    """The shortest that can be asked for, measured and in the state that a target names.

    Printed to the nearest tenth, it may be half of one short: the next tenth is sure.
    """
    lengths = planned(spec | {"length": target | {"available": FAR}})["lengths"]
    return math.ceil(round(lengths["shortest_workable"]["mm"] * 10, 3)) + 1


def finished(spec: Json, target: Json, length: str) -> Json:
    """The spec with a finished length, which a loop is given as its circumference."""
    if spec.get("join", {}).get("splice") != "endless_bury_loop":
        return spec | {"length": target | {"finished": length}}
    loop = spec["join"] | {"circumference": length, "measured": "centre_line"}
    return spec | {"join": loop}


def assert_told(plan: Json) -> None:
    """Cautions on every plan, and unusable for a stop and nothing else."""
    assert plan["cautions"]
    stops = [warning for warning in plan["warnings"] if warning["severity"] == "stop"]
    assert plan["usable"] is not bool(stops)


# --- one way, the other way, and both for what has two sizes --------------------------------------


@pytest.mark.parametrize("name", RECKONED)
@BOUNDED
@given(data=st.data())
def test_what_is_cut_gives_what_was_asked_for(name: str, data: st.DataObject) -> None:
    spec = data.draw(specs(name))
    target = data.draw(targets(spec))
    tenths = shortest_tenths(spec, target) + data.draw(further)
    there = plan_of(finished(spec, target, mm(tenths)))
    assert there["lengths"]["finished"]["mm"] == tenths / 10
    cut_mm = there["lengths"]["cut"]["mm"]
    back = plan_of(spec | {"length": target | {"available": f"{cut_mm} mm"}})
    assert back["lengths"]["cut"]["mm"] == cut_mm
    assert abs(back["lengths"]["finished"]["mm"] - tenths / 10) <= PRINTED_MM
    for plan in (there, back):
        assert_told(plan)


@pytest.mark.parametrize("name", RECKONED)
@BOUNDED
@given(data=st.data())
def test_what_is_there_gives_what_must_be_cut_for_it(name: str, data: st.DataObject) -> None:
    """The other way round: the length that comes of a rope takes that rope."""
    spec, tenths = data.draw(specs(name)), data.draw(long_ropes)
    there = planned(spec | {"length": {"available": mm(tenths)}})["lengths"]
    assert there["cut"]["mm"] == tenths / 10
    back = plan_of(finished(spec, {}, f"{there['finished']['mm']} mm"))["lengths"]
    assert abs(back["cut"]["mm"] - tenths / 10) <= PRINTED_MM


@BOUNDED
@given(spec=specs("endless_bury_loop"), more=further)
def test_a_loop_laid_flat_comes_back_too(spec: Json, more: int) -> None:
    # Derived: a loop laid flat is 2 e + pi d round its centre line
    least_mm = planned(spec)["lengths"]["shortest_workable"]["mm"]
    flat = math.ceil(least_mm * 5) + 1 + more
    loop = spec["join"] | {"circumference": mm(flat), "measured": "laid_flat_inside"}
    there = plan_of(spec | {"join": loop})
    round_mm = 2 * flat / 10 + math.pi * there["rope"]["diameter"]["mm"]
    assert there["lengths"]["finished"]["mm"] == pytest.approx(round_mm, abs=0.05 * (1 + math.pi))
    cut_mm = there["lengths"]["cut"]["mm"]
    back = plan_of(spec | {"length": {"available": f"{cut_mm} mm"}})["lengths"]
    assert abs(back["finished"]["mm"] - there["lengths"]["finished"]["mm"]) <= PRINTED_MM


@pytest.mark.parametrize("name", [name for name in RECKONED if name in TWO_ROPES])
@BOUNDED
@given(data=st.data())
def test_two_ropes_give_the_length_that_takes_them(name: str, data: st.DataObject) -> None:
    spec = data.draw(specs(name))
    pair = [data.draw(long_ropes), data.draw(long_ropes)]
    join = spec["join"] | {"ropes": [{"length": mm(tenths)} for tenths in pair]}
    there = planned(spec | {"join": join})["lengths"]
    assert there["cut"]["mm"] == sum(pair) / 10
    back = plan_of(finished(spec, {}, f"{there['finished']['mm']} mm"))["lengths"]
    assert abs(back["cut"]["mm"] - sum(pair) / 10) <= PRINTED_MM


@pytest.mark.parametrize("wanted", ["finished", "available"])
@pytest.mark.parametrize("name", GUIDANCE)
@BOUNDED
@given(data=st.data())
def test_guidance_gives_no_length_and_the_reason(
    name: str, wanted: str, data: st.DataObject
) -> None:
    spec = data.draw(specs(name)) | {"length": {wanted: mm(data.draw(long_ropes))}}
    plan = planned(spec)
    assert_told(plan)
    lengths = plan["lengths"]
    for figure in ("cut", "finished", "allowance", "range", "as_spliced", "after_setting"):
        assert lengths[figure] is None
        assert "guidance only" in lengths["reasons"][figure]
