"""The engine's version is raised whenever a plan changes, and only then (regression)."""

import hashlib
import json
from pathlib import Path

import orjson

from tuckmark import published
from tuckmark.pipeline import ENGINE, default_pipeline

RECORDED = Path(__file__).with_name("engine.json")
#: they change with every row of the tables, or with the service, whatever the plan says
NOT_OF_THE_PLAN = ("digest", "made_with", "links")


def fingerprint() -> str:
    """One digest over the plans of all examples."""
    digest = hashlib.sha256()
    for name, spec in sorted(published.examples().items()):
        plan = default_pipeline().plan(spec)
        digest.update(name.encode())
        digest.update(orjson.dumps({k: v for k, v in plan.items() if k not in NOT_OF_THE_PLAN}))
    return digest.hexdigest()


def test_plans_change_only_with_the_engine() -> None:
    recorded = json.loads(RECORDED.read_text("utf-8"))
    assert recorded == {"engine": ENGINE, "plans": fingerprint()}, (
        "A plan has changed: raise ENGINE in pipeline.py, tell users in DEVELOPERS.md what "
        "changes, and record the new fingerprint here."
    )
