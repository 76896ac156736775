"""The published schema of plans: every plan keeps to it, and no spoiled one does."""

from collections.abc import Iterator
from functools import reduce
from typing import Any, get_args

import jsonschema
import jsonschema_rs
import pytest

from tuckmark import plan as model
from tuckmark import published

Json = Any

PLAN = published.schema("splice-plan")
SLOW = jsonschema.Draft202012Validator(PLAN)
FAST = jsonschema_rs.Draft202012Validator(PLAN)
GONE = type("Gone", (), {"__str__": lambda _self: "gone"})()


def verdict(document: Json) -> bool:
    """What both validators say; they must agree."""
    slow, fast = SLOW.is_valid(document), FAST.is_valid(document)
    assert slow == fast, "the validators disagree"
    return fast


def spoil(document: Json, pointer: str, value: Any) -> None:
    """Sets what a JSON Pointer names, or takes it away."""
    *parents, last = [int(part) if part.isdigit() else part for part in pointer.split("/")[1:]]
    place = reduce(lambda at, part: at[part], parents, document)
    if value is GONE:
        del place[last]
    else:
        place[last] = value


def test_a_plan_is_accepted(plan: Json) -> None:
    assert [f"{error.json_path}: {error.message}" for error in SLOW.iter_errors(plan)] == []
    assert FAST.is_valid(plan)


def test_a_plan_is_usable_unless_it_is_to_stop(plan: Json, request: pytest.FixtureRequest) -> None:
    assert plan["usable"] is ("stop:" not in request.node.name)


def test_a_plan_has_its_keys_in_order(plan: Json) -> None:
    other = "ends" if "join" in plan else "join"
    assert list(plan) == [name for name in PLAN["properties"] if name != other]


def test_a_plan_names_nothing_that_the_schema_does_not_know(plan: Json) -> None:
    assert list(_unknown(plan, PLAN, "")) == []


def _unknown(value: Json, schema: Json, at: str) -> Iterator[str]:
    if "$ref" in schema:
        schema = PLAN["$defs"][schema["$ref"].rpartition("/")[2]]
    if isinstance(value, list):
        for n, item in enumerate(value):
            yield from _unknown(item, schema["items"], f"{at}/{n}")
    elif isinstance(value, dict):
        if "anyOf" in schema:
            named = [PLAN["$defs"][each["$ref"][8:]] for each in schema["anyOf"] if "$ref" in each]
            schema = next(each for each in named if each["type"] == "object")
        for key, item in value.items():
            known = schema.get("properties", {}).get(key, schema.get("additionalProperties"))
            if known is None:
                yield f"{at}/{key}"
            else:
                yield from _unknown(item, known, f"{at}/{key}")


def test_what_a_client_does_not_know_is_let_through(golden: Json) -> None:
    places = ("", "/rope", "/ends/a/eye", "/marks/0", "/lengths/cut", "/warnings/0", "/links")
    for pointer in places:
        spoil(golden, f"{pointer}/from_a_later_version", {"more": [1, None]})
    golden["plan_version"] = "1.1"
    assert verdict(golden)


@pytest.mark.parametrize("key", [*PLAN["required"], "ends"])
def test_every_key_must_be_there(golden: Json, key: str) -> None:
    assert verdict(golden)
    del golden[key]
    assert not verdict(golden)


SPOILED = [
    ("/plan_version", "2.0"),
    ("/plan_version", "1.0\n"),
    ("/digest", "sha256:0"),
    ("/digest", "sha256:" + "a" * 64 + "\n"),
    ("/made_with/tables", ""),
    ("/usable", "true"),
    ("/usable", None),
    ("/job/quantity", 0),
    ("/job/quantity", 1.5),
    ("/job/order", "two\nlines"),
    ("/job/references/drawing", 14),
    ("/read_as/0/pointer", "rope"),
    ("/read_as/0/mm", GONE),
    ("/read_as/0/kn", 1),
    ("/read_as/0/given", 24),
    ("/rope/diameter", None),
    ("/rope/diameter/mm", "24"),
    ("/rope/diameter/mm", -0.1),
    ("/rope/diameter/mm", 1e13),
    ("/rope/diameter/text", "24mm"),
    ("/rope/diameter/text", "24 mm\n"),
    ("/rope/diameter/text", "1/2 ft"),
    ("/rope/diameter/source", "Toss"),
    ("/rope/load_class", "high_modulus"),
    ("/rope/load_class/value", "high modulus"),
    ("/rope/construction", "parallel_core"),  # has no splice, so no plan
    ("/rope/fibre", "silk"),
    ("/rope/pitch", GONE),
    ("/rope/lay_length", GONE),
    ("/rope/core_diameter", 16),
    ("/rope/hand_tension", {"mm": 1, "text": "1 mm"}),
    ("/rope/reasons", {"pitch": None}),
    ("/join", {"splice": "long_splice"}),  # beside ends
    ("/ends/b", GONE),
    ("/ends/a/splice", GONE),
    ("/ends/a/splice", "plain"),  # which has an allowance
    ("/ends/a/bury", None),
    ("/ends/a/bury", GONE),
    ("/ends/a/buried/low_mm", GONE),  # a range has two ends
    ("/ends/a/buried/high_mm", GONE),
    ("/ends/a/eye/form", "round"),
    ("/ends/a/eye/included_angle", 16.2),
    ("/ends/a/eye/included_angle/deg", 181),
    ("/ends/a/eye/pin_ratio", GONE),
    ("/ends/a/taper/steps", []),
    ("/ends/a/taper/steps/0/strands_left", 0),
    ("/ends/a/taper/steps/0/picks", 2.5),
    ("/ends/a/hold/ratio", {"value": 1.5}),
    ("/ends/a/hold/assumed", None),
    ("/marks/0/id", "tail throat"),
    ("/marks/0/id", "a.tail_throat\n"),
    ("/marks/0/from", "throat"),
    ("/marks/0/distance", None),
    ("/marks/0/distance", 115),
    ("/marks/0/fids", "3"),
    ("/marks/0/shape", "cross"),
    ("/marks/0/part", "sheath"),
    ("/marks/0/end", "c"),
    ("/marks/0/tolerance", GONE),
    ("/steps", []),
    ("/steps/0/n", 0),
    ("/steps/0/text", ""),
    ("/steps/0/marks", ["tail throat"]),
    ("/steps/0/caution", None),  # absent where there is none
    ("/tools/0/length", "510 mm"),
    ("/lengths/cut/text", "22,604 m"),
    ("/lengths/allowance/body", None),
    ("/lengths/allowance/interlock", GONE),
    ("/lengths/total", None),
    ("/lengths/total/quantity", 0),
    ("/lengths/range/low", GONE),
    ("/lengths/between", "bearing points"),
    ("/strength/of", None),
    ("/strength/basis", "guessed"),
    ("/strength/splice_efficiency", 0.9),
    ("/strength/splice_efficiency/source", GONE),
    ("/strength/design_factor/value", -1),
    ("/strength/working_limit/text", "43.2 t"),
    ("/strength/verdict", "ok"),
    ("/strength/governed_by", "The splice"),
    ("/advice", ["longer eye"]),
    ("/warnings/0/severity", "fatal"),
    ("/warnings/0/code", "Pin small"),
    ("/warnings/0/message", GONE),
    ("/warnings/0/value", {"text": "36 mm"}),
    ("/warnings/0/value", {"mm": 36}),
    ("/warnings/0/value", {"mm": 36, "kn": 1, "text": "36 mm"}),
    ("/warnings/0/value", [36]),
    ("/warnings/0/pointer", None),
    ("/cautions", []),
    ("/cautions/0/text", None),
    ("/sources/toss_p_126/kind", "hearsay"),
    ("/sources/toss_p_126/confidence", "D"),
    ("/sources/Toss", {"title": "x", "section": "x", "kind": "paper", "confidence": "A"}),
    ("/links/sources", "https://elsewhere.example/sources"),
    ("/display/units", "imperial"),
    ("/display/inch_fraction", 10),
    ("/display/page", "a5"),
]


@pytest.mark.parametrize(("pointer", "value"), SPOILED, ids=lambda part: str(part)[:40])
def test_a_spoiled_plan_is_refused(golden: Json, pointer: str, value: Any) -> None:
    spoil(golden, pointer, value)
    assert not verdict(golden)


JOIN_FIGURES = ("bury", "buried", "taper", "hold", "shortening")


@pytest.mark.parametrize("name", JOIN_FIGURES)
@pytest.mark.parametrize("splice", ["end_to_end_bury", "endless_bury_loop"])
def test_a_join_of_buried_tails_has_their_figures(golden: Json, splice: str, name: str) -> None:
    ends = golden.pop("ends")
    golden["join"] = {"splice": splice} | {name: ends["b"][name] for name in JOIN_FIGURES}
    assert verdict(golden)
    del golden["join"][name]
    assert not verdict(golden)


@pytest.mark.parametrize(
    ("end", "accepted"),
    [
        ({"splice": "plain", "end_allowance": {"mm": 0, "text": "0 mm"}}, True),
        ({"splice": "plain"}, False),
        ({"splice": "locked_bury_eye"}, False),
        ({"splice": "straight_bury_eye"}, False),
        ({"splice": "a_splice_of_later"}, True),
    ],
)
def test_an_end_has_what_goes_with_its_splice(golden: Json, end: Json, *, accepted: bool) -> None:
    golden["ends"]["b"] = end
    assert verdict(golden) is accepted


def test_a_stop_and_usable_go_together(golden: Json) -> None:
    golden["strength"] |= {"working_limit": None, "verdict": None}
    assert verdict(golden)
    golden["usable"] = False
    assert not verdict(golden), "nothing says stop"
    golden["warnings"][0]["severity"] = "stop"
    assert verdict(golden)
    golden["usable"] = True
    assert not verdict(golden), "a warning says stop"


@pytest.mark.parametrize("name", ["working_limit", "verdict"])
def test_a_plan_that_says_stop_states_no_limit(golden: Json, name: str) -> None:
    stated = golden["strength"][name]
    golden["usable"] = False
    golden["warnings"][0]["severity"] = "stop"
    golden["strength"] |= {"working_limit": None, "verdict": None}
    assert verdict(golden)
    golden["strength"][name] = stated
    assert not verdict(golden)


SPEC = published.schema("splice-spec")["$defs"]


@pytest.mark.parametrize(
    ("listed", "known"),
    [
        (("rope_plan", "fibre"), SPEC["fibre"]["enum"]),
        (
            ("rope_plan", "construction"),
            [name for name in SPEC["construction"]["enum"]
             if name != "parallel_core"],
        ),
        (("eye_plan", "form"), SPEC["eye"]["properties"]["form"]["enum"]),
        (("lengths", "state"), SPEC["target_length"]["properties"]["state"]["enum"]),
        (("mark", "part"), get_args(model.Part)),
        (("mark", "shape"), get_args(model.Shape)),
    ],
    ids=lambda part: ".".join(part) if isinstance(part, tuple) else "",
)  # fmt: skip
def test_a_list_of_words_is_the_one_in_use(listed: tuple[str, str], known: list[str]) -> None:
    definition, name = listed
    assert PLAN["$defs"][definition]["properties"][name]["enum"] == list(known)


def test_the_severities_are_those_in_use() -> None:
    assert PLAN["$defs"]["severity"]["enum"] == list(get_args(model.Severity))
