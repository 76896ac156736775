"""A family that the project has never heard of, from a folder of its own.

It gets a plan, a branch of the schema and a listing by being put into the registry: nothing
else has to know it. Its figures, by hand, for 20 mm rope with a flat eye of 300 mm inside:
tail 10 d = 200; perimeter 2 x 300 + 20 pi/2 = 631.416; body throat 200 + 631.416 = 831.416.
"""

import copy
import importlib.util
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from flask.testing import FlaskClient

from tuckmark import publishing, reference
from tuckmark.families import REGISTRY
from tuckmark.families.base import Family
from tuckmark.pipeline import Pipeline, Rejected
from tuckmark.validation import Judge
from tuckmark.web import create_app

HERE = Path(__file__).parent
SCHEMA = HERE.parents[1] / "schema"

Json = dict[str, Any]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder of someone who adds a family: its module and its schema fragment."""
    return shutil.copytree(HERE / "toy", tmp_path_factory.mktemp("elsewhere") / "toy")


@pytest.fixture(scope="module")
def toy(folder: Path) -> Family:
    found = importlib.util.spec_from_file_location("toy_family", folder / "toy_family.py")
    assert found is not None
    assert found.loader is not None
    module = importlib.util.module_from_spec(found)
    found.loader.exec_module(module)
    family: Family = module.FAMILY
    return family


@pytest.fixture(scope="module")
def pipeline(folder: Path, toy: Family) -> Pipeline:
    fragments = [SCHEMA / "source" / "families" / f"{name}.json" for name in REGISTRY]
    schema = publishing.spec_schema(
        publishing.read_json(SCHEMA / "source" / "splice-spec.json"),
        (SCHEMA / "v1" / "quantity.abnf").read_text("utf-8"),
        map(publishing.read_json, [*fragments, folder / "toy_family.json"]),
    )
    return Pipeline(Judge(schema), reference.default(), {**REGISTRY, toy.name: toy})


@pytest.fixture(scope="module")
def client(pipeline: Pipeline) -> FlaskClient:
    return create_app(pipeline).test_client()


@pytest.fixture
def spec(toy: Family) -> Json:
    return copy.deepcopy(toy.minimal_spec)


def test_it_plans(pipeline: Pipeline, spec: Json) -> None:
    plan = pipeline.plan(spec)
    assert [(mark["id"], mark["distance"]["mm"]) for mark in plan["marks"]] == [
        ("a.tail_throat", 200.0),
        ("a.body_throat", 831.4),
    ]
    figures = plan["ends"]["a"]
    assert (figures["splice"], figures["tail"]["mm"]) == ("toy_eye", 200.0)
    assert figures["eye"]["perimeter"]["mm"] == 631.4


def test_its_steps_stand_among_those_of_every_job(pipeline: Pipeline, spec: Json) -> None:
    texts = [step["text"] for step in pipeline.plan(spec)["steps"]]
    mark = texts.index("Mark both throats.")
    assert texts.index("Lay throat to throat, the tail beside the body.") == mark + 1
    assert texts[0].startswith("Lay the rope straight under hand tension")
    assert texts[-1].startswith("Tag the assembly")


@pytest.mark.parametrize(
    ("ends", "cut_mm", "shortest_mm"),
    [
        # One eye: body 5000 - 300 = 4700; cut 4700 + 831.416.
        # Shortest: one run of 200 and the inside length, 300.
        ({"a": "toy_eye"}, 5531.4, 500.0),
        # Two: body 4400; cut 4400 + 2 x 831.416 = 6062.832.
        # Shortest: two runs, 10 d clear between them, two inside lengths: 200 + 200 + 200 + 600.
        ({"both": "toy_eye"}, 6062.8, 1200.0),
    ],
    ids=["one eye", "two eyes"],
)
def test_its_rope_is_added_up(
    pipeline: Pipeline, spec: Json, ends: dict[str, str], cut_mm: float, shortest_mm: float
) -> None:
    eye = spec["ends"]["a"]["eye"]
    spec["ends"] = {place: {"splice": name, "eye": eye} for place, name in ends.items()}
    spec["length"] = {"finished": "5 m"}
    lengths = pipeline.plan(spec)["lengths"]
    assert lengths["cut"]["mm"] == cut_mm
    assert lengths["shortest_workable"]["mm"] == shortest_mm
    spec["length"] = {"available": f"{cut_mm} mm"}
    assert pipeline.plan(spec)["lengths"]["finished"]["mm"] == 5000.0


def _bad(at: str, value: Any) -> Callable[[Json], None]:
    return lambda end: end.update({at: value})


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        (_bad("taper", {"pattern": [3, 2]}), "/ends/a/taper", "does_not_belong"),
        (_bad("tucks", 4), "/ends/a/tucks", "does_not_belong"),
        (_bad("end_allowance", "1 m"), "/ends/a/end_allowance", "does_not_belong"),
        (_bad("colour", "red"), "/ends/a/colour", "unknown_property"),
        (lambda end: end.pop("eye"), "/ends/a", "missing"),
    ],
)
def test_its_branch_of_the_schema_refuses_what_is_foreign(
    pipeline: Pipeline, spec: Json, change: Callable[[Json], None], pointer: str, code: str
) -> None:
    assert pipeline.judge.verdict(spec).count == 0
    change(spec["ends"]["a"])
    faults = pipeline.judge.verdict(spec).faults
    assert [(fault.pointer, fault.code) for fault in faults] == [(pointer, code)]


def test_the_other_families_keep_their_branches(pipeline: Pipeline) -> None:
    for family in REGISTRY.values():
        assert pipeline.judge.verdict(family.minimal_spec).count == 0


def test_a_wrong_rope_is_refused_for_it_as_for_any_family(pipeline: Pipeline, spec: Json) -> None:
    spec["rope"]["construction"] = "double_braid"
    with pytest.raises(Rejected) as caught:
        pipeline.plan(spec)
    (fault,) = caught.value.faults
    assert (fault.pointer, fault.code) == ("/ends/a/splice", "wrong_splice_for_rope")
    assert "toy eye is made in 3-strand laid rope" in fault.detail


def test_it_is_offered_where_another_splice_does_not_fit(pipeline: Pipeline, spec: Json) -> None:
    spec["ends"]["a"]["splice"] = "straight_bury_eye"
    with pytest.raises(Rejected) as caught:
        pipeline.plan(spec)
    assert caught.value.faults[0].allowed == ("tucked_eye", "back_splice", "toy_eye")


def test_it_is_listed(client: FlaskClient, toy: Family) -> None:
    entry = {
        "family": "toy_eye",
        "title": "an eye for the tests alone",
        "place": "end",
        "ropes": ["laid_3"],
        "marks": ["tail_throat", "body_throat"],
        "sources": ["derived_eye_geometry"],
        "confidence": "B",
        "minimal_spec": toy.minimal_spec,
    }
    listed = client.get("/v1/families").json
    assert listed is not None
    assert [family["family"] for family in listed["families"]] == [*REGISTRY, "toy_eye"]
    shown = listed["families"][-1]
    assert {key: shown[key] for key in entry} == entry
    assert client.get("/v1/families/toy_eye").json == shown


def test_it_plans_over_http(client: FlaskClient, pipeline: Pipeline, spec: Json) -> None:
    response = client.post("/v1/plans", json=spec)
    assert response.status_code == 200
    assert response.json == pipeline.plan(spec)
    checked = client.post("/v1/validations", json=spec).json
    assert checked is not None
    assert (checked["valid"], checked["plannable"], checked["errors"]) == (True, True, [])


def test_without_its_line_in_the_registry_it_is_unknown(spec: Json) -> None:
    client = create_app().test_client()
    response = client.post("/v1/plans", json=spec)
    assert response.status_code == 422
    assert response.json is not None
    assert [error["pointer"] for error in response.json["errors"]] == ["/ends/a/splice"]
    assert client.get("/v1/families/toy_eye").status_code == 404
