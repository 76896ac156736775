"""What a mark's tolerance promises, tried by planning again with the mark off by as much.

A mark may be off by its tolerance and no rule speaks up that did not before; a little further,
and one does. With a length tolerance, all marks and the cut off by their share at once leave the
finished length within it, its own uncertainty counted in.
"""

import copy
import math
from typing import Any

import pytest

from tuckmark import published
from tuckmark.pipeline import default_pipeline
from tuckmark.plan import Miss, Tolerance, lesser

Spec = dict[str, Any]
BEYOND_MM = 0.2  # the printed tolerance is rounded down by less than 0.1 mm
#: so wide that the rules are what limits
ANY_LENGTH = {"finished": "30 m", "tolerance": "20 m"}


def spec(eye: Spec, **more: Any) -> Spec:
    end = {"splice": "straight_bury_eye", "eye": eye, **more.pop("end", {})}
    rope = {"construction": "single_braid_12", "fibre": "polyester", "pitch": "204 mm"}
    rope |= {"size": {"diameter": "24 mm"}, "fid_length": "504 mm", **more.pop("rope", {})}
    return {"schema_version": "1.0", "rope": rope, "ends": {"both": end}, **more}


def ring(mm: float) -> Spec:
    return {"form": "perimeter", "perimeter": f"{mm:.1f} mm", "perimeter_of": "centre_line"}


def complaints(document: Spec) -> set[str]:
    """Codes of what warns or stops."""
    warnings = default_pipeline().plan(document)["warnings"]
    return {item["code"] for item in warnings if item["severity"] != "info"}


def tolerance(document: Spec, mark_id: str) -> dict[str, Any] | None:
    marks = default_pipeline().plan(document)["marks"]
    found: dict[str, Any] | None = next(m["tolerance"] for m in marks if m["id"] == mark_id)
    return found


HMPE = {"fibre": "hmpe", "pitch": "230 mm", "coating": "coated"}
BURIES = {
    # polyester 24 mm, fid 504 mm: 24 d = 576 mm floor, 42 d = 1008 mm (2 fids) advised (Toss; C)
    "above the advice": ({}, "straight_bury_eye", 1100.0, 1008.0),
    "at the advice": ({}, "straight_bury_eye", 1008.0, 1008.0),
    "between the rules": ({}, "straight_bury_eye", 700.0, 576.0),
    # coated HMPE: 72 d = 1728 mm (Toss p. 126), floor 60 d = 1440 mm (common practice)
    "high modulus": (HMPE, "straight_bury_eye", 1800.0, 1728.0),
    "high modulus between": (HMPE, "straight_bury_eye", 1500.0, 1440.0),
    # locked: three full fids, counted from the bitter end (common practice)
    "locked": (HMPE, "locked_bury_eye", 1600.0, 1512.0),
}


@pytest.mark.parametrize(
    ("rope", "splice", "bury_mm", "limit_mm"), BURIES.values(), ids=BURIES.keys()
)
def test_a_bury_may_be_shorter_by_what_its_rule_leaves(
    rope: Spec, splice: str, bury_mm: float, limit_mm: float
) -> None:
    def buried(mm: float) -> Spec:
        end = {"splice": splice, "bury": f"{mm:.1f} mm"}
        return spec({"form": "flat", "inside_length": "600 mm"}, rope=rope, end=end)

    found = tolerance(buried(bury_mm), "a.tail_throat")
    assert found is not None
    assert found["minus"] == {
        "mm": round(bury_mm - limit_mm, 1),
        "text": f"{bury_mm - limit_mm:.0f} mm",
        "limited_by": "bury_rule",
    }
    spare_mm = found["minus"]["mm"]
    before = complaints(buried(bury_mm))
    assert complaints(buried(bury_mm - spare_mm)) == before
    assert complaints(buried(bury_mm - spare_mm - BEYOND_MM)) != before


def test_a_bury_that_breaks_every_rule_is_limited_by_none_any_more() -> None:
    flat = {"form": "flat", "inside_length": "600 mm"}
    short = spec(flat, end={"bury": "500 mm"})
    assert "bury_below_floor" in complaints(short)
    assert tolerance(short, "a.tail_throat") is None


def eye_round_pin_mm(inside_length_mm: float, pin_mm: float, rope_mm: float) -> float:
    """Rope between the throats: tangents from the throat, and round the rest of the pin."""
    radius_mm, reach_mm = (pin_mm + rope_mm) / 2, inside_length_mm - pin_mm / 2
    tangent_mm = math.sqrt(reach_mm**2 - radius_mm**2)
    return 2 * tangent_mm + radius_mm * (math.pi + 2 * math.asin(radius_mm / reach_mm))


def test_an_eye_may_be_smaller_until_its_legs_meet_at_sixty_degrees() -> None:
    # 29 CFR 1926.251(d)(2): at most 60 degrees, met with sin 30 = r/c, so at c = 2 r = 114 mm and
    # e = c + D/2 = 159 mm on a pin of 90 mm in rope of 24 mm
    pin = {"form": "pin", "pin_diameter": "90 mm", "inside_length": "300 mm"}
    spare_mm = eye_round_pin_mm(300, 90, 24) - eye_round_pin_mm(159, 90, 24)
    for mark_id, way in (("a.tail_throat", "plus"), ("a.body_throat", "minus")):
        found = tolerance(spec(pin, length=ANY_LENGTH), mark_id)
        assert found is not None
        assert found[way]["limited_by"] == "eye_rule"
        assert found[way]["mm"] == math.floor(spare_mm * 10) / 10


def test_an_eye_whose_legs_meet_at_just_sixty_degrees_may_be_no_smaller() -> None:
    pin = {"form": "pin", "pin_diameter": "90 mm", "inside_length": "159 mm"}
    found = tolerance(spec(pin, length=ANY_LENGTH), "a.body_throat")
    assert found is not None
    assert found["minus"] == {"mm": 0.0, "text": "0 mm", "limited_by": "eye_rule"}


def test_a_flat_eye_may_be_smaller_until_no_rope_goes_through_it() -> None:
    # at least a pin of one rope diameter (0027/ND rev 11, 7.8.5): inside length 1 1/2 d = 36 mm
    def eye(mm: float) -> Spec:
        return spec(ring(mm), length=ANY_LENGTH)

    found = tolerance(eye(400.0), "a.body_throat")
    assert found is not None
    spare_mm = found["minus"]["mm"]
    assert spare_mm == pytest.approx(400 - (2 * 36 + math.pi * 24 / 2), abs=0.05)
    before = complaints(eye(400.0))
    assert complaints(eye(400 - spare_mm)) == before
    assert complaints(eye(400 - spare_mm - BEYOND_MM)) == before | {"eye_below_least_pin"}


def test_a_closed_ring_is_limited_by_no_rule() -> None:
    thimble = {"form": "thimble", "score_diameter": "90 mm", "bearing_length": "102 mm"}
    assert tolerance(spec(thimble), "a.body_throat") is None


def test_nothing_is_said_of_marks_that_nothing_limits() -> None:
    marks = default_pipeline().plan(spec(ring(900.0)))["marks"]
    told = {mark["id"].partition(".")[2] for mark in marks if mark["tolerance"] is not None}
    assert told == {"tail_throat"}


def test_without_a_length_to_keep_no_leave_is_given_to_make_the_eye_smaller() -> None:
    found = tolerance(spec(ring(900.0)), "a.tail_throat")
    assert found is not None
    assert found["plus"] is None
    assert found["minus"]["limited_by"] == "bury_rule"


def test_strand_tails_are_never_shorter() -> None:
    # the tail past the last full tuck is a least: 29 CFR 1926.251(d)(2)
    laid = {"construction": "laid_3", "fibre": "nylon", "size": {"diameter": "12 mm"}}
    end = {"splice": "tucked_eye", "eye": {"form": "flat", "inside_length": "200 mm"}}
    document = {"schema_version": "1.0", "rope": laid, "ends": {"a": end}}
    found = tolerance(document, "a.strand_tail")
    assert found is not None
    assert found["minus"] == {"mm": 0.0, "text": "0 mm", "limited_by": "tail_rule"}
    assert found["plus"] is None


def toleranced(tolerance_text: str, finished: Spec) -> Spec:
    # 50 d and more: no rule is near, so that the length is what limits
    end = {"splice": "straight_bury_eye", "bury": "1400 mm"}
    return spec(ring(900.0), end=end, length={**finished, "tolerance": tolerance_text})


@pytest.mark.parametrize("signs", [(-1, -1, -1), (-1, 1, -1), (1, -1, 1), (1, 1, 1), (1, 1, -1)])
def test_all_shares_at_once_keep_the_finished_length(signs: tuple[int, int, int]) -> None:
    document = toleranced("60 mm", {"finished": "18 m"})
    plan = default_pipeline().plan(document)
    by_id = {mark["id"]: mark for mark in plan["marks"]}
    shares_mm = {
        by_id[f"{end}.{name}"]["tolerance"]["mm"]
        for end in "ab"
        for name in ("tail_throat", "body_throat")
    }
    (share_mm,) = shares_mm
    lengths = plan["lengths"]
    unsure_mm = max(
        lengths["finished"]["high_mm"] - lengths["finished"]["mm"],
        lengths["finished"]["mm"] - lengths["finished"]["low_mm"],
    )
    assert share_mm == pytest.approx((60 - unsure_mm) / 5, abs=0.15)

    tail, body, cut = (sign * share_mm for sign in signs)
    off = copy.deepcopy(document)
    off["length"] = {"available": f"{lengths['cut']['mm'] + cut:.1f} mm"}
    off["ends"]["both"]["bury"] = f"{1400 + tail:.1f} mm"
    off["ends"]["both"]["eye"] = ring(900 + body - tail)
    made_mm = default_pipeline().plan(off)["lengths"]["finished"]["mm"]
    assert abs(made_mm - 18000) + unsure_mm <= 60 + 0.1


def test_a_tolerance_that_uncertainty_uses_up_leaves_nothing() -> None:
    document = toleranced("1 mm", {"finished": "18 m"})
    assert "tolerance_not_assured" in complaints(document)
    found = tolerance(document, "a.tail_throat")
    assert found is not None
    assert (found["mm"], found["plus"]["limited_by"]) == (0.0, "length_tolerance")


def test_the_stricter_limit_holds() -> None:
    near, far = Miss(1.0, "bury_rule"), Miss(2.0, "length_tolerance")
    assert lesser(near, far) == lesser(far, near) == near
    assert lesser(None, far) == lesser(far, None) == far
    assert lesser(None, None) is None
    assert Tolerance(far, near).either_way == near


def test_an_eye_past_the_rule_may_be_smaller_until_it_is_refused() -> None:
    # legs at 90 degrees meet at c = r sqrt 2, e = 57 sqrt 2 + 45 = 125.61 mm: refused beyond
    pin = {"form": "pin", "pin_diameter": "90 mm", "inside_length": "140 mm"}
    assert "eye_angle_wide" in complaints(spec(pin))
    found = tolerance(spec(pin, length=ANY_LENGTH), "a.body_throat")
    assert found is not None
    least_mm = 57 * math.sqrt(2) + 45
    spare_mm = eye_round_pin_mm(140, 90, 24) - eye_round_pin_mm(least_mm, 90, 24)
    assert found["minus"]["mm"] == pytest.approx(spare_mm, abs=0.1)


@pytest.mark.parametrize(
    "name",
    [
        "mooring-pendant-nylon-laid",
        "dock-line-double-braid",
        "tucked-fender-lanyard",
        "core-carried-halyard",
    ],
)
def test_no_length_tolerance_gives_leave_for_a_shorter_tail(name: str) -> None:
    """Tucks and crossed tails need all of their tail: what a rule leaves is nothing."""
    spec = copy.deepcopy(published.examples()[name])
    spec["length"]["tolerance"] = "2 m"
    marks = {mark["id"]: mark for mark in default_pipeline().plan(spec)["marks"]}
    minus = marks["a.tail_throat"]["tolerance"]["minus"]
    assert (minus["mm"], minus["limited_by"]) == (0.0, "tail_rule")
