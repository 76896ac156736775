"""The declared fields against the published schema: all of them, in its order, of its kind."""

from collections.abc import Iterator
from typing import Any

import pytest
from marshmallow import Schema, fields

from tuckmark import published
from tuckmark.declaration import MeasuredLength, Quantity, declared

KINDS = {
    "length": "length",
    "length_or_zero": "length",
    "measured_length": "length",
    "limited_length": "length",
    "force": "force",
    "mass_per_length": "mass_per_length",
    "temperature": "temperature",
}
#: properties of the document itself that say nothing of the job
OF_THE_DOCUMENT = {"$schema", "schema_version"}


def _resolved(schema: dict[str, Any]) -> dict[str, Any]:
    if "$ref" not in schema:
        return schema
    defined: dict[str, Any] = published.schema("splice-spec")["$defs"][_named(schema)]
    return defined


def _named(schema: dict[str, Any]) -> str:
    return str(schema.get("$ref", "")).removeprefix("#/$defs/")


def _pairs(
    where: str, declared: Schema, schema: dict[str, Any]
) -> Iterator[tuple[str, Schema, dict[str, Any]]]:
    """Every declared object beside its published schema."""
    yield where, declared, schema
    for name, field in declared.fields.items():
        key = field.data_key or name
        published_as = _resolved(schema["properties"].get(key, {}))
        if isinstance(field, fields.Nested):
            yield from _pairs(f"{where}/{key}", field.schema, published_as)
        elif isinstance(field, fields.List) and isinstance(field.inner, fields.Nested):
            items = _resolved(published_as["items"])
            yield from _pairs(f"{where}/{key}", field.inner.schema, items)


PAIRS = list(_pairs("", declared(), published.schema("splice-spec")))


@pytest.mark.parametrize(("declared", "schema"), [p[1:] for p in PAIRS], ids=[p[0] for p in PAIRS])
def test_every_published_property_is_loaded_in_its_order(
    declared: Schema, schema: dict[str, Any]
) -> None:
    names = [field.data_key or name for name, field in declared.fields.items()]
    assert names == [name for name in schema["properties"] if name not in OF_THE_DOCUMENT]


@pytest.mark.parametrize(("declared", "schema"), [p[1:] for p in PAIRS], ids=[p[0] for p in PAIRS])
def test_every_property_is_loaded_as_what_it_is(declared: Schema, schema: dict[str, Any]) -> None:
    for name, field in declared.fields.items():
        key = field.data_key or name
        wanted = schema["properties"][key]
        if _named(wanted) in KINDS:
            assert isinstance(field, Quantity), key
            assert field.kind == KINDS[_named(wanted)], key
            continue
        assert not isinstance(field, Quantity), key
        loaded_by = {
            "string": fields.String,
            "integer": fields.Integer,
            "number": fields.Float,
            "boolean": fields.Boolean,
            "array": fields.List,
            "object": (fields.Nested, fields.Dict),
        }
        assert isinstance(field, loaded_by[_resolved(wanted)["type"]]), key


@pytest.mark.parametrize("declared", [p[1] for p in PAIRS], ids=[p[0] for p in PAIRS])
def test_a_quantity_is_stored_under_a_name_with_its_unit(declared: Schema) -> None:
    suffixes = {"length": "_mm", "force": "_kn", "mass_per_length": "_kg_per_m"}
    for name, field in declared.fields.items():
        if isinstance(field, MeasuredLength):  # its fields have their units
            assert field.data_key in (None, name)
        elif isinstance(field, Quantity):
            assert name == f"{field.data_key}{suffixes.get(field.kind, '_c')}"


def test_what_is_published_as_measured_is_loaded_with_how_far_it_may_be_off() -> None:
    measured = {
        f"{where}/{field.data_key or name}"
        for where, declared, schema in PAIRS
        for name, field in declared.fields.items()
        if _named(schema["properties"][field.data_key or name]) == "measured_length"
        and isinstance(field, MeasuredLength)
    }
    assert measured == {"/rope/pitch", "/rope/size/diameter"}


def test_marshmallow_judges_nothing() -> None:
    for _, loader, _ in PAIRS:
        for name, field in loader.fields.items():
            assert not field.validators, name
            assert not field.required, name
