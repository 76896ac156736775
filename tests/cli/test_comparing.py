"""``tuckmark diff``: what it finds between plans, and what it leaves out."""

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tuckmark import cli, differences, published
from tuckmark.pipeline import default_pipeline

SPEC: dict[str, Any] = published.examples()["towing-pendant"]
PLAN: dict[str, Any] = json.loads(json.dumps(default_pipeline().plan(SPEC)))
TAPE = {"n": 1, "action": "tape", "end": "a", "text": "Tape it."}
Change = Callable[[dict[str, Any]], Any]


def changed(change: Change) -> dict[str, Any]:
    plan = copy.deepcopy(PLAN)
    change(plan)
    return plan


def mark(plan: dict[str, Any], name: str) -> Any:
    return next(item for item in plan["marks"] if item["id"] == name)


@pytest.mark.parametrize(
    ("change", "found"),
    [
        (lambda _: None, []),
        (lambda plan: plan.update(digest="sha256:0", made_with={"engine": "9"}, links={}), []),
        (lambda plan: plan.update(usable=False), [("usable", True, False)]),
        (lambda plan: plan.update(usable=1), [("usable", True, 1)]),
        (
            lambda plan: mark(plan, "a.tail_throat")["distance"].update(mm=1540.0),
            [("marks/a.tail_throat/distance/mm", 1530.0, 1540.0)],
        ),
        (
            lambda plan: plan["job"].pop("quantity"),
            [("job/quantity", PLAN["job"]["quantity"], None)],
        ),
        (
            lambda plan: plan["cautions"].pop(0),
            [("cautions/stored_energy", PLAN["cautions"][0], None)],
        ),
        (
            lambda plan: plan["steps"].insert(0, TAPE),
            [("steps/tape a Tape it.", None, TAPE)],
        ),
        (
            lambda plan: mark(plan, "b.tail_throat").pop("shape"),
            [("marks/b.tail_throat/shape", mark(PLAN, "b.tail_throat")["shape"], None)],
        ),
    ],
)  # fmt: skip
def test_differences(change: Change, found: list[tuple[Any, ...]]) -> None:
    told = differences.between(PLAN, changed(change))
    assert [(item.path, item.old, item.new) for item in told] == found


def test_another_order_is_a_difference() -> None:
    def swap(plan: dict[str, Any]) -> None:
        plan["steps"][0], plan["steps"][1] = plan["steps"][1], plan["steps"][0]

    (told,) = differences.between(PLAN, changed(swap))
    assert told.path == "steps/order"
    assert told.old[:2] == told.new[1::-1]


def test_every_figure_that_is_changed_is_found() -> None:
    """One leaf after another: none may change unseen."""
    count = 0
    for path in leaves({key: PLAN[key] for key in PLAN if key not in LEFT_OUT}):
        plan = copy.deepcopy(PLAN)
        here: Any = plan
        for key in path[:-1]:
            here = here[key]
        here[path[-1]] = "changed"
        assert differences.between(PLAN, plan), path
        count += 1
    assert count > 500


LEFT_OUT = ("digest", "made_with", "links", "sources")


def leaves(value: Any, path: tuple[Any, ...] = ()) -> Any:
    if isinstance(value, dict | list):
        items = value.items() if isinstance(value, dict) else enumerate(value)
        for key, item in items:
            if not (path[:1] == ("steps",) and key == "n"):
                yield from leaves(item, (*path, key))
    else:
        yield path


@pytest.fixture
def files(tmp_path: Path) -> dict[str, str]:
    spec = {**SPEC, "length": {**SPEC["length"], "finished": "18.1 m"}}
    contents = {
        "plan": PLAN,
        "spec": SPEC,
        "longer": spec,
        "no_plan": {**SPEC, "length": {"finished": "1 m"}},
        "no_spec": [],
    }
    for name, content in contents.items():
        (tmp_path / f"{name}.json").write_text(json.dumps(content), "utf-8")
    return {name: str(tmp_path / f"{name}.json") for name in contents}


def test_the_same_plan(files: dict[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["diff", files["plan"], files["spec"]]) == 0
    assert capsys.readouterr().out == "no difference\n"


def test_a_longer_rope(files: dict[str, str], capsys: pytest.CaptureFixture[str]) -> None:
    """100 mm more between bearing points is 100 mm more rope: the ends stay as they are."""
    assert cli.main(["diff", files["plan"], files["longer"]]) == 1
    lines = capsys.readouterr().out.splitlines()
    assert "lengths/cut/mm: 22604.4 -> 22704.4 (+100.0)" in lines
    assert "lengths/finished/mm: 18000 -> 18100 (+100.0)" in lines
    assert not [line for line in lines if line.startswith("lengths/cut/text")]
    assert not [line for line in lines if line.startswith(("ends/", "marks/a.tail_throat"))]


def test_as_json(files: dict[str, str], capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    assert cli.main(["diff", "--format", "json", files["plan"], files["longer"]]) == 1
    whole = json.loads(capsysbinary.readouterr().out)
    assert whole["made_with"]["old"] == PLAN["made_with"]
    assert {"path": "lengths/cut/mm", "old": 22604.4, "new": 22704.4} in whole["differences"]


@pytest.mark.parametrize("name", ["no_plan", "no_spec"])
def test_what_has_no_plan_is_told(
    files: dict[str, str], name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["diff", files["plan"], files[name]]) == cli.UNREADABLE
    assert f"{name}.json: " in capsys.readouterr().err


def test_a_missing_file_is_told(files: dict[str, str]) -> None:
    assert cli.main(["diff", files["plan"], files["plan"] + ".none"]) == cli.UNREADABLE
