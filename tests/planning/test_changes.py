"""Users are told which plans change, whenever the computation or a table has."""

import itertools

from tuckmark import changes, reference
from tuckmark.pipeline import ENGINE

NEWEST = changes.listed()[0]


def test_the_newest_entry_is_of_this_computation_and_these_tables() -> None:
    made_with = {"engine": ENGINE, "tables": reference.default().version}
    assert {key: NEWEST[key] for key in made_with} == made_with, (
        "A formula or a table has changed: say in data/changes.json which plans change and how, "
        "in a new entry at the top (in the newest one, if that is not released yet)."
    )


def test_every_entry_tells_what_changes() -> None:
    for entry in changes.listed():
        assert list(entry) == ["engine", "tables", "plans"]
        for plans in entry["plans"]:
            assert plans["which"]
            assert plans["how"].endswith(".")


def test_a_higher_version_of_the_computation_changes_some_plan() -> None:
    entries = changes.listed()
    versions = [tuple(map(int, entry["engine"].split("."))) for entry in entries]
    assert versions == sorted(versions, reverse=True)
    for newer, older in itertools.pairwise(entries):
        assert newer["tables"] != older["tables"] or newer["engine"] != older["engine"]
        assert newer["plans"] or newer["engine"] == older["engine"]
    assert entries[-1]["plans"]
