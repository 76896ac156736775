"""Tucked splices of laid rope and plait: lengths there and back, marks and steps that agree."""

import copy
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tuckmark.families import REGISTRY
from tuckmark.pipeline import default_pipeline

Json = dict[str, Any]
LAID = ("tucked_eye", "back_splice", "tucked_short", "long_splice")
PLAITED = ("plaited_eye", "plaited_end_to_end")
SYNTHETIC = ("polyester", "nylon", "polypropylene", "polyethylene")
NATURAL = ("manila", "sisal", "hemp", "cotton")
THINNINGS = ("none", "yarns", "tucks", "strands")


def planned(document: Json) -> Json:
    return default_pipeline().plan(document)


def laid_spec(splice: str, **rope: Any) -> Json:
    facts = {"construction": "laid_3", "fibre": "manila", "size": {"diameter": "24 mm"}} | rope
    eye = {"form": "flat", "inside_length": "300 mm"}
    document: Json = {"schema_version": "1.0", "rope": facts}
    if REGISTRY[splice].plan_join:
        document["join"] = {"splice": splice, "ropes": [{"length": "20 m"}, {"length": "15 m"}]}
    elif splice == "tucked_eye":
        document["ends"] = {"a": {"splice": splice, "eye": eye}}
    else:
        document["ends"] = {"a": {"splice": "tucked_eye", "eye": eye}, "b": {"splice": splice}}
    return document


def _variants() -> dict[str, Json]:
    found = {}
    for splice in LAID:
        for construction in ("laid_3", "laid_4"):
            for lay in ("z", "s", None):
                rope = {"construction": construction} | ({"lay": lay} if lay else {})
                found[f"{splice} in {construction}, lay {lay}"] = laid_spec(splice, **rope)
    for splice in ("tucked_eye", "tucked_short"):
        for thinning in THINNINGS:
            document = laid_spec(splice)
            place = document["join"] if "join" in document else document["ends"]["a"]
            place["thinning"] = thinning
            found[f"{splice} thinned by {thinning}"] = document
    one_tuck = laid_spec("tucked_eye")
    one_tuck["ends"]["a"]["tucks"] = 1
    captive = laid_spec("tucked_eye")
    captive["ends"]["a"]["eye"]["captive"] = "bow shackle"
    found |= {"one tuck": one_tuck, "captive": captive}
    return found | {name: dict(REGISTRY[name].minimal_spec) for name in (*LAID, *PLAITED)}


VARIANTS = _variants()


@pytest.fixture(params=VARIANTS, scope="module")
def plan(request: pytest.FixtureRequest) -> Json:
    return planned(VARIANTS[request.param])


def test_every_mark_is_made_before_it_is_used_or_cut_away(plan: Json) -> None:
    made: set[str] = set()
    for step in plan["steps"]:
        if step["action"] == "mark":
            made |= set(step["marks"])
        assert set(step["marks"]) <= made, step["text"]


def test_every_mark_is_used_by_a_step_that_does_not_make_it(plan: Json) -> None:
    used = {mark for step in plan["steps"] if step["action"] != "mark" for mark in step["marks"]}
    assert {mark["id"] for mark in plan["marks"]} == used


def test_marking_steps_name_their_marks_and_distances(plan: Json) -> None:
    marks = {mark["id"]: mark for mark in plan["marks"]}
    for step in plan["steps"]:
        if step["action"] == "mark":
            for mark in (marks[name] for name in step["marks"]):
                assert mark["name"] in step["text"]
                assert mark["distance"]["text"] in step["text"]


def test_marks_run_from_the_bitter_end_along_each_part(plan: Json) -> None:
    for end in ("a", "b"):
        for part in ("rope", "strand"):
            along = [
                mark["distance"]["mm"]
                for mark in plan["marks"]
                if (mark["end"], mark["part"]) == (end, part)
            ]
            assert along == sorted(along)


def test_a_family_sets_the_marks_it_lists(plan: Json) -> None:
    join = plan.get("join")
    splices = [join["splice"]] if join else [end["splice"] for end in plan["ends"].values()]
    listed = {mark.removesuffix("_1…n") for name in splices for mark in REGISTRY[name].marks}
    set_ = {mark["id"].partition(".")[2].rstrip("0123456789").rstrip("_") for mark in plan["marks"]}
    assert set_ <= listed


def test_cuts_carry_their_caution(plan: Json) -> None:
    cuts = [step for step in plan["steps"] if step["action"] == "cut_strands"]
    assert cuts
    assert all("away from your body" in step["caution"] for step in cuts)


@pytest.mark.parametrize(
    ("lay", "way", "twist"),
    [
        ("z", "from right to left", "left-hand (s) twist, opposite to the right-hand (z) lay"),
        ("s", "from left to right", "right-hand (z) twist, opposite to the left-hand (s) lay"),
    ],
)
@pytest.mark.parametrize("splice", ["tucked_eye", "tucked_short", "back_splice"])
def test_tucks_go_against_the_lay_with_the_strands_own_twist(
    splice: str, lay: str, way: str, twist: str
) -> None:
    plan = planned(laid_spec(splice, lay=lay))
    tucks = [step["text"] for step in plan["steps"] if "against the lay" in step["text"]]
    assert tucks
    assert all(way in text for text in tucks)
    assert any(twist in text for text in tucks)


@pytest.mark.parametrize(("splice", "ends"), [("back_splice", "b"), ("tucked_short", "ab")])
def test_the_only_round_of_tucks_is_a_step_of_its_own(splice: str, ends: str) -> None:
    document = laid_spec(splice)
    place = document["join"] if "join" in document else document["ends"]["b"]
    place["tucks"] = 1
    for end in ends:
        steps = [step for step in planned(document)["steps"] if step["end"] == end]
        tucking = [step for step in steps if "tuck its strands in turn" in step["text"]]
        assert len(tucking) == 1


def eye_texts(**changed: Any) -> str:
    end = {name: changed.pop(name) for name in ("tucks", "thinning") if name in changed}
    document = laid_spec("tucked_eye", **changed)
    document["ends"]["a"] |= end
    return " ".join(step["text"] for step in planned(document)["steps"])


# Common practice, from memory: the middle strand first, then the one beside it that goes over the
# strand just used, and the last from the other side. Left lay is its mirror image.
@pytest.mark.parametrize(
    ("lay", "over", "last"),
    [
        ("z", "Tuck strand 1, on its left, over that strand", "tuck strand 3, also from right"),
        ("s", "Tuck strand 3, on its right, over that strand", "tuck strand 1, also from left"),
    ],
)
def test_three_strands_enter_from_the_middle_one_on(lay: str, over: str, last: str) -> None:
    text = eye_texts(lay=lay)
    assert "looking from the eye along the body: 1 left, 2 middle, 3 right." in text
    first = text.index("tuck strand 2 under one strand of the body")
    assert first < text.index(over) < text.index(last)


def test_four_strands_enter_each_under_its_own() -> None:
    text = eye_texts(construction="laid_4")
    assert "looking from the eye along the body: 1 to 4 from left to right." in text
    assert "tuck strands 1 to 4 in turn, each under a strand of the body of its own" in text


def test_tucks_after_the_first_are_a_step_of_their_own() -> None:
    # the first full tuck is made as the eye is closed
    assert "tuck its strands in turn" not in eye_texts(tucks=1)
    assert "tuck its strands in turn" in eye_texts(tucks=2)


@pytest.mark.parametrize(("tucks", "told"), [(1, "1 full tuck on"), (2, "2 full tucks on")])
def test_full_tucks_are_counted(tucks: int, told: str) -> None:
    assert f"count {told} every strand" in eye_texts(tucks=tucks)


@pytest.mark.parametrize(
    ("construction", "rounds"),
    [
        ("laid_3", "tuck strands from 2 to 3 once; then tuck strand 3 alone once."),
        (
            "laid_4",
            "tuck strands from 2 to 4 once; then tuck strands from 3 to 4 once; then tuck strand 4 "
            "alone once.",
        ),
    ],
)
def test_a_strand_is_dropped_at_every_round_down_to_the_last(
    construction: str, rounds: str
) -> None:
    text = eye_texts(construction=construction, thinning="strands")
    assert f"drop a strand in turn at every round: {rounds}" in text


@pytest.mark.parametrize(("construction", "meetings"), [("laid_3", 1), ("laid_4", 2)])
def test_strands_are_laid_in_as_far_as_the_furthest_meeting_first(
    construction: str, meetings: int
) -> None:
    # three strands: one pair stays in the middle, one goes to each side; four: two to each side
    steps = planned(laid_spec("long_splice", construction=construction))["steps"]
    laid_in = [step["marks"] for step in steps if "Take a strand of end" in step["text"]]
    assert laid_in == [[f"{end}.meeting_{n}"] for end in "ab" for n in range(meetings, 0, -1)]
    told = " ".join(step["text"] for step in steps)
    assert "a dot for meeting 1 at" in told
    assert "a ring for the tail throat at" in told
    crossed = [f"{end}.meeting_{n}" for end in "ab" for n in range(1, meetings + 1)]
    throats = ["a.tail_throat", "b.tail_throat"] if construction == "laid_3" else []
    cut = [step["marks"] for step in steps if "At every meeting cut both strands" in step["text"]]
    assert cut == [[*throats, *crossed]]
    middle = [step["marks"] for step in steps if "meet at the throats" in step["text"]]
    assert middle == ([["a.tail_throat", "b.tail_throat"]] if construction == "laid_3" else [])


@pytest.mark.parametrize("splice", LAID)
def test_a_lay_that_is_not_given_is_said(splice: str) -> None:
    def assumed(document: Json) -> str:
        warnings = planned(document)["warnings"]
        return "".join(w["message"] for w in warnings if w["code"] == "assumptions")

    assert "right-hand lay (z)" in assumed(laid_spec(splice))
    assert "right-hand lay" not in assumed(laid_spec(splice, lay="z"))
    assert "-hand lay" not in assumed(laid_spec(splice, lay="s"))


def test_one_rope_of_left_lay_stands_for_both() -> None:
    document = laid_spec("tucked_short")
    document["join"]["ropes"][0]["lay"] = "s"
    plan = planned(document)
    assumptions = next(w["message"] for w in plan["warnings"] if w["code"] == "assumptions")
    assert "left-hand lay (s) of both ropes" in assumptions
    assert any("must rise to the left" in step["text"] for step in plan["steps"])


@pytest.mark.parametrize("splice", PLAITED)
def test_guidance_is_said_where_nobody_can_miss_it(splice: str) -> None:
    plan = planned(dict(REGISTRY[splice].minimal_spec) | {})
    first = plan["warnings"][0]
    assert (first["code"], first["severity"]) == ("plaited_is_guidance", "warn")
    assert first["message"].startswith("GUIDANCE ONLY")
    assert any(step["text"].startswith("GUIDANCE ONLY") for step in plan["steps"])
    assert "guidance only" in plan["lengths"]["reasons"]["cut"]
    assert not any(step["action"] == "cut_rope" for step in plan["steps"])
    assert any("instruction" in tool["name"] for tool in plan["tools"])
    assert "guidance only" in REGISTRY[splice].title


diameters = st.integers(60, 960).map(lambda tenths: f"{tenths / 10} mm")
ropes = st.fixed_dictionaries(
    {
        "construction": st.sampled_from(["laid_3", "laid_4"]),
        "fibre": st.sampled_from([*SYNTHETIC, *NATURAL]),
        "size": diameters.map(lambda d: {"diameter": d}),
    },
    optional={"lay": st.sampled_from(["z", "s"])},
)
eyes = st.integers(100, 3000).map(lambda mm: {"form": "flat", "inside_length": f"{mm} mm"})
tucked = st.fixed_dictionaries(
    {"splice": st.just("tucked_eye"), "eye": eyes},
    optional={"tucks": st.integers(1, 12), "thinning": st.sampled_from(THINNINGS)},
)
others = st.one_of(tucked, st.just({"splice": "back_splice"}), st.just({"splice": "plain"}))


@settings(deadline=None, max_examples=60)
@given(rope=ropes, a=tucked, b=others, finished=st.integers(30_000, 90_000))
def test_the_cut_length_gives_the_finished_length_back(
    rope: Json, a: Json, b: Json, finished: int
) -> None:
    document = {
        "schema_version": "1.0",
        "rope": rope,
        "ends": {"a": a, "b": b},
        "length": {"finished": f"{finished} mm"},
    }
    there = planned(document)
    back = copy.deepcopy(document)
    back["length"] = {"available": f"{there['lengths']['cut']['mm']:.1f} mm"}
    found = planned(back)["lengths"]
    assert abs(found["finished"]["mm"] - finished) <= 0.1 + 1e-9
    parts = [part["mm"] for part in there["lengths"]["allowance"].values()]
    assert sum(parts) == pytest.approx(there["lengths"]["cut"]["mm"], abs=0.01)


@settings(deadline=None, max_examples=60)
@given(rope=ropes, tucks=st.integers(1, 12), thinning=st.sampled_from(THINNINGS))
def test_no_plan_leaves_a_tail_under_the_law(rope: Json, tucks: int, thinning: str) -> None:
    end = {"splice": "tucked_eye", "eye": {"form": "flat", "inside_length": "400 mm"}}
    ends = {"a": end | {"tucks": tucks, "thinning": thinning}}
    plan = planned({"schema_version": "1.0", "rope": rope, "ends": ends})
    diameter_mm = float(rope["size"]["diameter"].removesuffix(" mm"))
    # 29 CFR 1926.251(d)(2): 6 d below 1 in, 6 in from there on; or two more tucks, about 6 d
    law_mm = 6 * diameter_mm if diameter_mm < 25.4 else 152.4
    figures = plan["ends"]["a"]
    left_mm = figures["unlay"]["mm"] - 3 * diameter_mm * tucks
    assert left_mm >= min(law_mm, 6 * diameter_mm) - 0.06
    assert figures["tail"]["mm"] == pytest.approx(law_mm, abs=0.051)
    least = 3 if rope["fibre"] in NATURAL else 4
    codes = {warning["code"] for warning in plan["warnings"]}
    assert plan["usable"] is (tucks >= least)
    assert ("tucks_below_least" in codes) is (tucks < least)


@pytest.mark.parametrize("state", ["as_spliced", "after_setting"])
def test_both_states_come_back_from_the_rope_available(state: str) -> None:
    document = laid_spec("tucked_eye", fibre="nylon")
    document["length"] = {"finished": "10 m", "state": state}
    cut_mm = planned(document)["lengths"]["cut"]["mm"]
    document["length"] = {"available": f"{cut_mm:.1f} mm", "state": state}
    assert abs(planned(document)["lengths"]["finished"]["mm"] - 10_000) <= 0.1
