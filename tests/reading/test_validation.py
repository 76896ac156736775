"""What is said of a refused document: pointer, code, what is allowed, a hint; in its order."""

import copy
import json
from pathlib import Path
from typing import Any

import pytest
import yaml

from tuckmark import published
from tuckmark.spelling import nearest
from tuckmark.validation import MAX_FAULTS, Judge
from tuckmark.wording import scalar

SMALLEST = {
    "schema_version": "1.0",
    "rope": {
        "construction": "single_braid_12",
        "fibre": "hmpe",
        "size": {"diameter": "24 mm"},
    },
    "ends": {
        "a": {
            "splice": "straight_bury_eye",
            "eye": {"form": "flat", "inside_length": "600 mm"},
        }
    },
}
CASES = yaml.safe_load(
    (Path(__file__).parent / "cases" / "validation.yaml").read_text(encoding="utf-8")
)
SIZE = "/rope/size/diameter"


@pytest.fixture(scope="module")
def judge() -> Judge:
    return Judge(published.schema("splice-spec"))


def changed(change: dict[str, Any]) -> dict[str, Any]:
    document = copy.deepcopy(SMALLEST)
    for pointer, value in change.items():
        *way, last = (
            key.replace("~1", "/").replace("~0", "~")
            for key in pointer.removeprefix("/").split("/")
        )
        here: Any = document
        for key in way:
            here = here.setdefault(key, {})
        if value is None:
            here.pop(last)
        else:
            here[last] = None if value == "~null" else value
    return document


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["name"])
def test_faults_are_told_in_words(judge: Judge, case: dict[str, Any]) -> None:
    document = changed(case["change"])
    verdict = judge.verdict(document)
    told = [(fault.pointer, fault.code) for fault in verdict.faults]
    assert told == [(fault["pointer"], fault["code"]) for fault in case["faults"]]
    for fault, wanted in zip(verdict.faults, case["faults"], strict=True):
        found = {key: getattr(fault, key) for key in wanted}
        assert {
            key: list(value) if isinstance(value, tuple) else value for key, value in found.items()
        } == wanted
        assert fault.detail
    assert verdict.count == len(case["faults"])
    assert not judge.accepts(document)


def test_the_smallest_spec_is_accepted(judge: Judge) -> None:
    assert judge.accepts(SMALLEST)
    assert judge.verdict(SMALLEST).faults == ()


@pytest.mark.parametrize("document", [[], "spec", 4, True, None])
def test_a_document_that_is_no_object(judge: Judge, document: Any) -> None:
    (fault,) = judge.verdict(document).faults
    assert (fault.pointer, fault.code, fault.allowed) == ("", "wrong_type", "an object")


@pytest.mark.parametrize(
    ("given", "right"),
    [
        ("24mm", "24 mm"),
        ("24  mm", "24 mm"),
        (" 24 mm", "24 mm"),
        ("24 mm\n", "24 mm"),
        ("24 MM", "24 mm"),
        ("24 millimetres", "24 mm"),
        ("24 millimeters", "24 mm"),
        (".5 m", "0.5 m"),
        ("5. m", "5 m"),
        ("007 mm", "7 mm"),
        ("5 / 8 in", "5/8 in"),
        ('5/8"', "5/8 in"),
        ("5/8 inch", "5/8 in"),
        ("1-1/4 in", "1 1/4 in"),
        ("12'", "12 ft"),
        ("12' 3\"", "12 ft 3 in"),
        ("12' 3 1/2\"", "12 ft 3 1/2 in"),
        ("12ft 3in", "12 ft 3 in"),
        ("12 feet 3 inches", "12 ft 3 in"),
        ("0 5/8 in", "5/8 in"),
        ("\u215d in", "5/8 in"),
        ("1\u215d in", "1 5/8 in"),
        ("1 5\u20448 in", "1 5/8 in"),
        ("24\u00a0mm", "24 mm"),
    ],
)
def test_a_plain_intent_gets_the_right_spelling(judge: Judge, given: str, right: str) -> None:
    (fault,) = judge.verdict(changed({SIZE: given})).faults
    assert (fault.pointer, fault.code, fault.given) == (SIZE, "not_a_quantity", given)
    assert fault.hint == f'Write "{right}".'
    assert judge.accepts(changed({SIZE: right}))


@pytest.mark.parametrize(
    ("pointer", "given", "right"),
    [
        ("/use/working_load", "40 kn", "40 kN"),
        ("/use/working_load", "9000 lbs", "9000 lbf"),
        ("/use/working_load", "40kN", "40 kN"),
        ("/use/temperature", "30 C", "30 degC"),
        ("/use/temperature", "30°C", "30 degC"),
        ("/use/temperature", "-20 °F", "-20 degF"),
        ("/rope/linear_density", "29 kg/100 m", "29 kg/100m"),
        ("/rope/linear_density", "290 G/M", "290 g/m"),
    ],
)
def test_other_kinds_get_theirs(judge: Judge, pointer: str, given: str, right: str) -> None:
    (fault,) = judge.verdict(changed({pointer: given})).faults
    assert (fault.pointer, fault.code) == (pointer, "not_a_quantity")
    assert fault.hint == f'Write "{right}".'


@pytest.mark.parametrize(
    ("pointer", "given"),
    [("/use/working_load", "0 kN"), ("/rope/linear_density", "0 g/m"),
     ("/rope/linear_density", "0.00 kg/100m")],
)  # fmt: skip
def test_nothing_is_no_load_and_no_mass(judge: Judge, pointer: str, given: str) -> None:
    (fault,) = judge.verdict(changed({pointer: given})).faults
    assert str(fault.hint).startswith("Zero is not a size")


@pytest.mark.parametrize(
    "given",
    # of two meanings, of none, or of a unit that is not kept here: nothing is guessed
    ["mm", "", "100 yd", "5/3 in", "2 ft 12 in", "24 or 25 mm", "about 24 mm", "24 mm dia",
     "1.2.3 mm", "1\u00b9\u2044\u2088 in", "0 or 5 mm"],
)  # fmt: skip
def test_nothing_is_guessed(judge: Judge, given: str) -> None:
    (fault,) = judge.verdict(changed({SIZE: given})).faults
    assert (fault.code, fault.hint) == ("not_a_quantity", None)


@pytest.mark.parametrize(
    ("given", "word"),
    [("24", "unit"), ("1,5 m", "comma"), ("1,500 mm", "comma"), ("1e3 mm", "exponent"),
     ("-5 mm", "sign"), ("2.5 ft 3 in", "whole"), ("2.5' 3\"", "whole"), ("0 mm", "Zero"),
     ("0.0 in", "Zero")],
)  # fmt: skip
def test_what_is_wrong_is_said_where_no_one_spelling_is_meant(
    judge: Judge, given: str, word: str
) -> None:
    (fault,) = judge.verdict(changed({"/rope/size/diameter": given})).faults
    assert fault.code == "not_a_quantity"
    assert fault.hint is not None
    assert word in fault.hint


_UP_TO = "(up to 7 digits and 6 decimals), one space and"
_FORMS = "a fraction with in or ft (5/8 in); feet and inches (12 ft 3 1/2 in)"


@pytest.mark.parametrize(
    ("pointer", "allowed", "good"),
    [
        (
            "/length/finished",
            f"a number above 0 {_UP_TO} mm, cm, m, in or ft, such as 24 mm; {_FORMS}",
            "24 mm, 9 cm, 9 m, 9 in, 9 ft, 5/8 in, 5/8 ft, 12 ft 3 1/2 in, 9999999.999999 mm",
        ),
        (
            SIZE,
            f"a number above 0 {_UP_TO} mm, cm, m, in or ft, such as 230 mm; {_FORMS}",
            "230 mm",
        ),
        (
            "/use/working_load",
            f"a number above 0 {_UP_TO} N, kN, lbf, kgf or tf, such as 40 kN",
            "9 N, 40 kN, 9 lbf, 9 kgf, 9 tf",
        ),
        (
            "/use/temperature",
            f"a number {_UP_TO} degC or degF, such as 30 degC",
            "0 degC, 30 degC, -9 degF",
        ),
    ],
)
@pytest.mark.parametrize("given", ["much", "12345678 mm", 7])
def test_what_a_quantity_may_be_is_said_and_is_taken(
    judge: Judge, pointer: str, allowed: str, good: str, given: str | int
) -> None:
    """By quantity.abnf, read by hand."""
    (fault,) = judge.verdict(changed({pointer: given})).faults
    assert fault.allowed == allowed
    for text in good.split(", "):
        assert judge.accepts(changed({pointer: text}))


def test_a_number_alone_is_shown_with_a_unit(judge: Judge) -> None:
    (fault,) = judge.verdict(changed({SIZE: "24"})).faults
    assert fault.hint == 'Write the unit, such as "24 mm".'


@pytest.mark.parametrize(("blanks", "hint"), [(36, 'Write "24 mm".'), (37, None)])
def test_a_text_longer_than_any_quantity_is_not_guessed_at(
    judge: Judge, blanks: int, hint: str | None
) -> None:
    (fault,) = judge.verdict(changed({SIZE: "24" + " " * blanks + "mm"})).faults
    assert (fault.code, fault.hint) == ("not_a_quantity", hint)


@pytest.mark.parametrize(("word", "meant"), [("polyestxxxx", "polyester"), ("polyestxxxxx", None)])
def test_a_name_is_near_from_seven_tenths_alike(word: str, meant: str | None) -> None:
    # twice the 7 letters that match, over all letters: 14/20 = 0.7 and 14/21
    assert nearest(word, ("nylon", "polyester")) == meant


@pytest.mark.parametrize("given", ["0 mm", "0.0 mm", "0 in"])
def test_zero_is_told_apart(judge: Judge, given: str) -> None:
    (fault,) = judge.verdict(changed({SIZE: given})).faults
    assert fault.code == "not_a_quantity"
    assert fault.hint is not None
    assert fault.hint.startswith("Zero is not a size")


@pytest.mark.parametrize(
    ("length", "told"), [(80, "x" * 80), (81, "x" * 79 + "\u2026"), (500, "x" * 79 + "\u2026")]
)
def test_long_values_end_in_a_sign_that_they_were_cut(judge: Judge, length: int, told: str) -> None:
    (fault,) = judge.verdict(changed({SIZE: "x" * length})).faults
    assert fault.given == told


@pytest.mark.parametrize(
    ("given", "told"),
    [
        (9007199254740992, 9007199254740992),  # 2**53: the last that every reader of JSON agrees on
        (9007199254740993, 9007199254740992.0),
        (-9007199254740993, -9007199254740992.0),
    ],
)
def test_whole_numbers_beyond_the_exact_ones_are_echoed_as_read(given: int, told: float) -> None:
    assert repr(scalar(given)) == repr(told)


def test_only_fifty_are_told_but_all_are_counted(judge: Judge) -> None:
    document = changed({}) | {f"foreign_{n}": n for n in range(60)}
    verdict = judge.verdict(document)
    assert MAX_FAULTS == 50
    assert verdict.count == 60
    assert [fault.pointer for fault in verdict.faults] == [f"/foreign_{n}" for n in range(50)]


def test_fifty_are_all_told(judge: Judge) -> None:
    verdict = judge.verdict(changed({}) | {f"foreign_{n}": n for n in range(50)})
    assert (verdict.count, len(verdict.faults)) == (50, 50)


@pytest.mark.parametrize("reverse", [False, True])
def test_faults_come_in_document_order(judge: Judge, *, reverse: bool) -> None:
    document = changed({"/rope/fibre": "wool", "/ends/a/bury": "1m", "/use": {"duty": "none"}})
    keys = list(document)
    if reverse:
        keys.reverse()
    verdict = judge.verdict({key: document[key] for key in keys})
    order = [fault.pointer.split("/")[1] for fault in verdict.faults]
    assert order == [key for key in keys if key in {"rope", "ends", "use"}]


@pytest.mark.parametrize(
    ("references", "told"),
    [
        ({"7": "", "07": "P-14"}, ["/job/references/7"]),
        ({"07": "P-14", "7": ""}, ["/job/references/7"]),
        ({"7": "", "07": ""}, ["/job/references/7", "/job/references/07"]),
        ({"+7": "P-14", "007": ""}, ["/job/references/007"]),
    ],
)
def test_names_that_read_as_the_same_number_are_told_apart(
    judge: Judge, references: dict[str, str], told: list[str]
) -> None:
    faults = judge.verdict(changed({"/job": {"references": references}})).faults
    assert [fault.pointer for fault in faults] == told


def test_what_is_told_can_be_written_as_json(judge: Judge) -> None:
    for case in CASES:
        for fault in judge.verdict(changed(case["change"])).faults:
            assert json.dumps([fault.allowed, fault.given, fault.hint])


def test_four_point_nought_is_the_integer_four(judge: Judge) -> None:
    assert judge.accepts(changed({"/job": {"quantity": 4.0}}))
