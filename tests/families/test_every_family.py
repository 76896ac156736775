"""What every family in the registry must have, do and say."""

import json
import re
from pathlib import Path

import pytest
import yaml
from flask.testing import FlaskClient
from registry_specs import SPLICES, Json, back_splice_in_double_braid, minimal, splices_of

from tuckmark import reference
from tuckmark.families import REGISTRY
from tuckmark.pipeline import default_pipeline

ROOT = Path(__file__).parents[2]
EXAMPLES = {path.stem: path for path in sorted((ROOT / "schema" / "examples").glob("*.json"))}

FAMILIES = tuple(REGISTRY)

# --- what the trade's pages ask of each family, typed by hand -------------------------------------

#: five pairs over the picks 3, 2, 3, 2, 3
TAPER = {"taper_1", "taper_2", "taper_3", "taper_4", "taper_5"}
#: the least that the published contract names for a buried eye
BURIED = TAPER | {"tail_throat", "body_throat", "bury_entry", "tail_exit", "tip_rest"}
STITCHED = {"stitch_start", "stitch_end"}
#: in a join the throats of both ropes meet: there is no second one on a body
JOINED = (BURIED - {"body_throat"}) | STITCHED
#: by part, on each end that the family makes, of its minimal spec
LEAST_MARKS: dict[str, dict[str, set[str]]] = {
    "locked_bury_eye": {"rope": BURIED | {"lock_return"}},
    "straight_bury_eye": {"rope": BURIED | STITCHED},
    "interlocked_eye": {"rope": BURIED | STITCHED},
    "end_to_end_bury": {"rope": JOINED},
    "endless_bury_loop": {"rope": JOINED},
    # Merry, p. 126: unlaid to the tail throat; the first tucks go in at the body throat.
    "tucked_eye_12": {"rope": {"tail_throat", "body_throat"}},
    # Merry, p. 56-71: cover F, F + E, F + E + L, knot, taper F/3; core S, S + F + S.
    "cover_core_eye": {
        "cover": {
            *("taper_start", "tail_throat", "crossover", "body_throat", "core_tail_exit", "knot"),
            *STITCHED,
        },
        "core": {"cover_entry", "cover_exit"},
    },
    # Merry, p. 56, 59: cover F, F + S; core S, S + F + S.
    "cover_core_end_to_end": {
        "cover": {"taper_start", "crossover", "body_throat", "knot"} | STITCHED,
        "core": {"cover_entry", "cover_exit"},
    },
    # Merry, p. 70-71: cover 2 F, 2 F + E, knot, taper F/3; core S, S + 3 F + S.
    "core_bury_eye": {
        "cover": {"taper_start", "tail_throat", "body_throat", "knot"} | STITCHED,
        "core": {"bury_entry", "tail_exit"},
    },
    # 29 CFR 1926.251(d)(2): full tucks, then a tail past the last of them.
    "tucked_eye": {
        "rope": {"tail_throat", "body_throat", "last_full_tuck"},
        "strand": {"strand_tail"},
    },
    "tucked_short": {"rope": {"tail_throat", "last_full_tuck"}, "strand": {"strand_tail"}},
    # US Navy 14251: unlaid by turns; in three strands one pair meets to each side of the middle.
    "long_splice": {"rope": {"tail_throat", "meeting_1"}},
    "back_splice": {"rope": {"tail_throat", "last_full_tuck"}, "strand": {"strand_tail"}},
    # Common practice, no source: tape at the tenth pick, rounds in pairs, then single strands.
    "plaited_eye": {"rope": {"tail_throat", "body_throat", "last_pair_tuck", "last_tuck"}},
    "plaited_end_to_end": {"rope": {"tail_throat", "last_pair_tuck", "last_tuck"}},
    "plain": {},
}
#: Merry, p. 59-61: core S, S + F + S; taper F/3 of the cover.
LEAST_MARKS_OF_BACK_SPLICE_IN_DOUBLE_BRAID = {
    "cover": {"taper_start", "tail_throat", "knot"},
    "core": {"cover_entry", "cover_exit"},
}


def ends_of(spec: Json, name: str) -> str:
    """The letters of the ends at which a spec makes a splice."""
    letters = {"join": "ab", "both": "ab", "a": "a", "b": "b"}
    return "".join(letters[at] for at, splice in splices_of(spec).items() if splice == name)


# --- marks and steps ------------------------------------------------------------------------------


def test_the_table_of_marks_knows_every_family() -> None:
    assert set(LEAST_MARKS) == set(REGISTRY)


@pytest.mark.parametrize("name", FAMILIES)
def test_it_has_at_least_its_marks(name: str) -> None:
    _assert_marks(minimal(name), name, LEAST_MARKS[name])


def test_a_back_splice_in_double_braid_has_at_least_its_marks() -> None:
    _assert_marks(
        back_splice_in_double_braid(), "back_splice", LEAST_MARKS_OF_BACK_SPLICE_IN_DOUBLE_BRAID
    )


def _assert_marks(spec: Json, name: str, least: dict[str, set[str]]) -> None:
    plan = default_pipeline().plan(spec)
    found = {(mark["part"], mark["id"]) for mark in plan["marks"]}
    assert len(found) == len(plan["marks"])
    wanted = {
        (part, f"{end}.{mark}")
        for end in ends_of(spec, name)
        for part, marks in least.items()
        for mark in marks
    }
    assert wanted - found == set()


PLANNED = {
    **{f"minimal {name}": minimal(name) for name in FAMILIES},
    **{f"example {name}": json.loads(path.read_text("utf-8")) for name, path in EXAMPLES.items()},
    "back_splice in double braid": back_splice_in_double_braid(),
}


@pytest.mark.parametrize("spec", PLANNED.values(), ids=PLANNED.keys())
def test_every_mark_is_made_before_it_is_used_or_cut_away_and_is_used(spec: Json) -> None:
    plan = default_pipeline().plan(spec)
    every = {mark["id"] for mark in plan["marks"]}
    made: set[str] = set()
    used: set[str] = set()
    for step in plan["steps"]:
        named = set(step["marks"])
        assert named <= every, step["text"]
        if step["action"] == "mark":
            made |= named
        else:
            assert named <= made, step["text"]
            used |= named
    assert used == every


@pytest.mark.parametrize("name", FAMILIES)
def test_it_sets_no_mark_that_it_does_not_list(name: str) -> None:
    spec = minimal(name)
    marks = default_pipeline().plan(spec)["marks"]
    own = {mark["id"][2:] for mark in marks if mark["end"] in ends_of(spec, name)}
    listed = {re.escape(mark).replace("1…n", r"\d+") for mark in REGISTRY[name].marks}
    assert [mark for mark in own if not any(re.fullmatch(form, mark) for form in listed)] == []


def _unstitched(name: str) -> Json:
    spec = minimal(name)
    made = [spec["join"]] if "join" in spec else [*spec["ends"].values()]
    for splice in made:
        if splice["splice"] == name:
            splice["stitching"] = "none"
    return spec


UNSTITCHED = {
    f"unstitched {name}": _unstitched(name)
    for name, family in REGISTRY.items()
    if "stitch_start" in family.marks
}


@pytest.mark.parametrize("spec", (PLANNED | UNSTITCHED).values(), ids=(PLANNED | UNSTITCHED).keys())
def test_twine_for_stitching_is_at_hand_where_something_is_stitched(spec: Json) -> None:
    plan = default_pipeline().plan(spec)
    stitched = {step["end"] for step in plan["steps"] if step["action"] == "stitch"}
    twine_mm = [tool["length"]["mm"] for tool in plan["tools"] if tool["name"] == "twine"]
    # Merry, p. 54, and common practice: tails of 200 mm, rows of 7 stitches a diameter apart, two
    # out and two back; each stitch taken as two diameters of twine
    one_throat_mm = 2 * 200 + 4 * 7 * 2 * plan["rope"]["diameter"]["mm"]
    off_mm = len(stitched) * 4 * 7 * 2 * 0.051  # as the diameter and the figure are printed
    assert sum(twine_mm) == pytest.approx(len(stitched) * one_throat_mm, abs=off_mm)
    told = " ".join(tool["detail"] for tool in plan["tools"] if tool["name"] == "twine")
    assert ("both throats" in told) == ("join" in spec and bool(stitched))
    assert len(twine_mm) == (1 if "join" in spec else len(stitched)) * bool(stitched)


# --- what a reader is told ------------------------------------------------------------------------


@pytest.mark.parametrize("name", FAMILIES)
def test_it_plans_from_its_minimal_spec_over_http(client: FlaskClient, name: str) -> None:
    spec = minimal(name)
    assert name in splices_of(spec).values()
    response = client.post("/v1/plans", json=spec)
    assert response.status_code == 200
    plan = response.json
    assert plan is not None
    made = {"join": plan["join"]} if "join" in plan else plan["ends"]
    assert name in [place["splice"] for place in made.values()]
    assert plan["usable"] is True


@pytest.mark.parametrize("name", FAMILIES)
def test_its_listing_is_whole(client: FlaskClient, name: str) -> None:
    listing = client.get(f"/v1/families/{name}").json
    assert listing is not None
    family = REGISTRY[name]
    wanted = {
        "family": name,
        "title": family.title,
        "place": "join" if "join" in minimal(name) else "end",
        "ropes": list(family.ropes),
        "marks": list(family.marks),
        "sources": list(family.sources),
        "confidence": family.confidence,
        "minimal_spec": minimal(name),
    }
    assert {key: listing[key] for key in wanted} == wanted
    assert listing["title"]
    assert listing["confidence"] in ("A", "B", "C")
    fragment = ROOT / "schema" / "source" / "families" / f"{name}.json"
    told = json.loads(fragment.read_text("utf-8"))
    assert (told["family"], told["title"], told["place"]) == (
        *(name, listing["title"], listing["place"]),
    )


@pytest.mark.parametrize("name", FAMILIES)
def test_its_sources_exist_and_it_is_no_surer_than_they_are(name: str) -> None:
    family, known = REGISTRY[name], reference.default().sources
    assert family.sources
    assert set(family.sources) - set(known) == set()
    # "A" < "B" < "C": the surest comes first
    assert family.confidence >= max(known[key].confidence for key in family.sources)


@pytest.mark.parametrize("name", FAMILIES)
def test_it_is_never_without_cautions(client: FlaskClient, name: str) -> None:
    plan = client.post("/v1/plans", json=minimal(name)).json
    assert plan is not None
    assert plan["cautions"]
    assert all(caution["code"] and caution["text"] for caution in plan["cautions"])


@pytest.mark.parametrize("name", FAMILIES)
def test_a_stop_makes_it_unusable(client: FlaskClient, name: str) -> None:
    # 29 CFR 1910.184(h): slings are spliced of new rope.
    spec = minimal(name)
    spec["use"] = {"duty": "lifting_sling"}
    new = client.post("/v1/plans", json=spec).json
    spec["rope"]["condition"] = "used"
    used = client.post("/v1/plans", json=spec).json
    assert new is not None
    assert used is not None
    assert new["usable"] is True
    assert not any(warning["severity"] == "stop" for warning in new["warnings"])
    assert used["usable"] is False
    stops = {warning["code"] for warning in used["warnings"] if warning["severity"] == "stop"}
    assert "used_rope_in_sling" in stops
    assert used["strength"]["working_limit"] is None
    assert used["cautions"] == new["cautions"]


# --- beside it in the repository ------------------------------------------------------------------


def cases_of(name: str) -> list[Json]:
    """Every case of its folder, its kind taken from its file where it names none."""
    folder = ROOT / "tests" / "planning" / "cases" / name
    books = [yaml.safe_load(path.read_text("utf-8")) for path in sorted(folder.glob("*.yaml"))]
    return [{"kind": book.get("kind"), **case} for book in books for case in book["cases"]]


#: what may stand in for a published or derived case where nothing is published to derive it from
WORKED_OTHERWISE = {
    "locked_bury_eye": "contract",  # the lock is customary: its worked figures are the contract's
    "plaited_eye": "common_practice",
    "plaited_end_to_end": "common_practice",
    "plain": "contract",
}


@pytest.mark.parametrize("name", FAMILIES)
def test_it_has_a_case_worked_from_outside_the_project(name: str) -> None:
    kinds = {case["kind"] for case in cases_of(name) if "expect" in case}
    assert kinds & {"published", "derived", WORKED_OTHERWISE.get(name)}


@pytest.mark.parametrize("name", SPLICES)
def test_it_has_a_refusal(name: str) -> None:
    assert [case["name"] for case in cases_of(name) if "refused" in case]


@pytest.mark.parametrize("name", SPLICES)
def test_it_has_a_boundary(name: str) -> None:
    """Two cases that differ in one figure of the spec, with another outcome each."""
    cases = cases_of(name)
    assert any(_apart(one, other) for one in cases for other in cases)


def _apart(one: Json, other: Json) -> bool:
    changes = [case.get("change", {}) for case in (one, other)]
    outcomes = [(case.get("warnings"), "refused" in case) for case in (one, other)]
    differing = {
        at for at in {*changes[0], *changes[1]} if changes[0].get(at) != changes[1].get(at)
    }
    return len(differing) == 1 and outcomes[0] != outcomes[1]


@pytest.mark.parametrize("name", FAMILIES)
def test_an_example_uses_it(name: str) -> None:
    specs = [json.loads(path.read_text("utf-8")) for path in EXAMPLES.values()]
    assert any(name in splices_of(spec).values() for spec in specs)


@pytest.mark.parametrize("name", FAMILIES)
def test_the_readme_has_its_row(name: str) -> None:
    place = "join" if "join" in minimal(name) else "ends"
    readme = (ROOT / "README.md").read_text("utf-8").splitlines()
    rows = [line for line in readme if line.startswith(f"| `{name}` |")]
    assert [row.split(" | ")[1] for row in rows] == [f"`{place}`"]
