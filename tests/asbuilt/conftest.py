"""Specs of the project's own rope loft, and the service's core to inspect and calibrate with."""

import json
from collections.abc import Callable
from typing import Any

import jsonschema
import pytest

from tuckmark import published
from tuckmark.asbuilt import calibration_json, inspection_json, requests
from tuckmark.pipeline import ENGINE, Pipeline, Rejected, default_pipeline

Json = dict[str, Any]


@pytest.fixture(scope="session")
def pipeline() -> Pipeline:
    return default_pipeline()


@pytest.fixture
def pendant() -> Json:
    """HMPE 24 mm, a straight bury at a, plain at b, 18 m +- 50 mm, eye 600 +- 15 mm."""
    return {
        "schema_version": "1.0",
        "job": {"order": "LW-2207", "item": "2", "description": "stern pendant, workboat Dunlin"},
        "rope": {
            "construction": "single_braid_12",
            "fibre": "hmpe",
            "size": {"diameter": {"value": 24, "unit": "mm", "tolerance": 1}},
            "coating": "coated",
        },
        "ends": {
            "a": {
                "splice": "straight_bury_eye",
                "eye": {
                    "form": "flat",
                    "inside_length": {"value": 600, "unit": "mm", "tolerance": 15},
                },
            },
            "b": {"splice": "plain"},
        },
        "length": {"finished": "18 m", "tolerance": "50 mm"},
    }


@pytest.fixture
def as_planned() -> Json:
    """Everything of the pendant measured, and all of it as planned."""
    return {
        "finished": "18 m",
        "state": "as_spliced",
        "ends": {"a": {"inside_length": "600 mm", "buried": "1728 mm", "stitches": 7}},
        "diameter": "24 mm",
        "damage": [],
    }


@pytest.fixture
def inspect(pipeline: Pipeline) -> Callable[[Json, Json], Json]:
    """The record as a client reads it; each one is held against the published schema."""
    schema = jsonschema.Draft202012Validator(published.schema("inspection-report"))

    def inspected(spec: Json, measured: Json) -> Json:
        found = requests.inspected(pipeline, {"spec": spec, "measured": measured})
        shown: Json = json.loads(
            json.dumps(inspection_json.as_json(found, pipeline.reference, ENGINE))
        )
        assert [error.message for error in schema.iter_errors(shown)] == []
        return shown

    return inspected


@pytest.fixture
def calibrate(pipeline: Pipeline) -> Callable[[list[Json]], Json]:
    """The calibration as a client reads it; each one is held against the published schema."""
    schema = jsonschema.Draft202012Validator(published.schema("calibration-report"))

    def calibrated(trials: list[Json]) -> Json:
        found = requests.calibrated(pipeline, {"trials": trials})
        shown: Json = json.loads(
            json.dumps(calibration_json.as_json(found, pipeline.reference, ENGINE))
        )
        assert [error.message for error in schema.iter_errors(shown)] == []
        return shown

    return calibrated


@pytest.fixture
def refusal() -> Callable[[Callable[[], object]], tuple[str, list[tuple[str, str]]]]:
    """The problem's code, and pointer and code of each fault."""

    def refused(call: Callable[[], object]) -> tuple[str, list[tuple[str, str]]]:
        with pytest.raises(Rejected) as caught:
            call()
        found = caught.value
        assert found.count == len(found.faults)
        return found.code, [(fault.pointer, fault.code) for fault in found.faults]

    return refused
