"""A document that the published schema has accepted, to the typed spec."""

from collections.abc import Callable
from functools import cache
from typing import Any

from marshmallow import fields

from tuckmark import spec, units
from tuckmark.declaration import Load, MeasuredLength, Quantity, declared
from tuckmark.document import Json
from tuckmark.quantities import ReadQuantity, base_value, measured

#: what a part of a document becomes, given where it stands and where its quantities are noted
_Converter = Callable[[Json, str, list[ReadQuantity]], Any]


def read(document: Json) -> tuple[spec.Spec, tuple[ReadQuantity, ...]]:
    """The typed spec of a document that the published schema has accepted, and its quantities.

    Built by functions compiled once from the declarations: marshmallow's own ``load``
    gives equal objects, but asks again what the judge has answered. The quantities come in the
    schema's order.
    """
    noted: list[ReadQuantity] = []
    built: spec.Spec = _compiled()(document, "", noted)
    return built, tuple(noted)


def to_spec(document: Json) -> spec.Spec:
    """The typed spec alone."""
    return read(document)[0]


def read_as(document: Json) -> tuple[ReadQuantity, ...]:
    """Every quantity of an accepted document, in the schema's order."""
    return read(document)[1]


@cache
def _compiled() -> _Converter:
    return _builder(declared())


def _builder(schema: Load) -> _Converter:
    """A plain function that does what ``schema.load`` does with an accepted document."""
    parts = [
        (field.data_key or name, name, _converter(field)) for name, field in schema.fields.items()
    ]

    def build(document: Json, pointer: str, noted: list[ReadQuantity]) -> Any:
        data = {}
        for key, name, convert in parts:
            if key in document:
                given = document[key]
                data[name] = convert(given, f"{pointer}/{key}", noted) if convert else given
        return schema.build(data)

    return build


def _converter(field: fields.Field[Any]) -> _Converter | None:
    """How a field's value is read; None where it stays as it is."""
    match field:
        case Quantity():
            return _quantity_of(field.kind, as_measured=isinstance(field, MeasuredLength))
        case fields.Nested(schema=Load() as inner):
            return _builder(inner)
        case fields.List(inner=fields.Nested(schema=Load() as inner)):
            build = _builder(inner)
            return lambda items, pointer, noted: [
                build(item, f"{pointer}/{n}", noted) for n, item in enumerate(items)
            ]
        case fields.Float():
            return lambda value, _pointer, _noted: float(value)
        case fields.Integer():
            return lambda value, _pointer, _noted: int(value)
    return None


def _quantity_of(kind: units.Kind, *, as_measured: bool) -> _Converter:
    def read_quantity(given: Json, pointer: str, noted: list[ReadQuantity]) -> Any:
        value = base_value(given)
        noted.append(ReadQuantity(pointer, given, kind, value))
        return measured(given, value) if as_measured else value

    return read_quantity
