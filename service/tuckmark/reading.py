"""A document that the published schema has accepted, to the typed spec.

marshmallow declares here how each property is named and built. It judges
nothing: every rule a document must keep stands in the published schema alone,
so a failure in here is a fault of the program and is never shown as the user's.
"""

from collections.abc import Callable, Mapping
from functools import cache
from types import MappingProxyType
from typing import Any, ClassVar, Final

from marshmallow import EXCLUDE, Schema, fields, post_load
from msgspec import Struct

from tuckmark import spec, units
from tuckmark.document import Json


class Quantity(fields.Field[float]):
    """A quantity in its text or object form, to a float in the kind's base unit."""

    def __init__(self, kind: units.Kind, **options: Any) -> None:
        self.kind = kind
        super().__init__(**options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **_kwargs: Any) -> float:  # noqa: ARG002 - marshmallow's signature
        return base_value(value)


_MOST_DECIMALS: Final = 6  # as many as the grammar allows


class MeasuredLength(Quantity):
    """A measured length, with how far it may be off."""

    def __init__(self, **options: Any) -> None:
        super().__init__("length", **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **_kwargs: Any) -> Any:  # noqa: ARG002 - marshmallow's signature
        return measured(value)


def measured(given: str | Mapping[str, Any]) -> spec.Measured:
    """Either form of an accepted measured length."""
    return _as_measured(given, base_value(given))


def _as_measured(given: str | Mapping[str, Any], value_mm: float) -> spec.Measured:
    return spec.Measured(value_mm, units.resolution_of(as_text(given)), limit_of(given))


def as_text(given: str | Mapping[str, Any]) -> str:
    """Either form of an accepted quantity, as its text.

    230.0 is the number 230, and a program's 229.87000000000003 was read as 229.87.
    """
    if isinstance(given, str):
        return given
    return f"{units.decimal_text(given['value'], _MOST_DECIMALS)} {given['unit']}"


def limit_of(given: str | Mapping[str, Any]) -> float | None:
    """The tolerance of an accepted quantity in its base unit; None where it gives none."""
    if isinstance(given, str) or "tolerance" not in given:
        return None
    return units.base_of(given["tolerance"], given["unit"])


def base_value(given: str | Mapping[str, Any]) -> float:
    """Either form of an accepted quantity, in its base unit."""
    if isinstance(given, str):
        return units.base_value(given)
    return units.base_of(given["value"], given["unit"])


class _Load(Schema):
    """Builds ``model`` from what was loaded; absent properties keep the model's defaults."""

    model: ClassVar[type[Any]]

    class Meta:
        """How marshmallow treats the rest."""

        unknown = EXCLUDE  # the one foreign property a judged document can hold is $schema

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> Any:
        """The model of what was loaded."""
        return self.model(**data)


def _length(key: str) -> Quantity:
    return Quantity("length", data_key=key)


class _Job(_Load):
    model = spec.Job
    order = fields.String()
    item = fields.String()
    description = fields.String()
    quantity = fields.Integer()
    references = fields.Dict()

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> spec.Job:
        if "references" in data:
            data["references"] = MappingProxyType(dict(data["references"]))
        return spec.Job(**data)


class _Size(_Load):
    model = spec.Size
    diameter = MeasuredLength()
    circumference_mm = _length("circumference")
    size_number = fields.Float()


class _BreakingStrength(_Load):
    model = spec.BreakingStrength
    force_kn = Quantity("force", data_key="force")
    basis = fields.String()


class _Rope(_Load):
    model = spec.Rope
    construction = fields.String()
    fibre = fields.String()
    core_fibre = fields.String()
    size = fields.Nested(_Size)
    fid_length_mm = _length("fid_length")
    pitch = MeasuredLength()
    lay_length_mm = _length("lay_length")
    lay = fields.String()
    core_diameter_mm = _length("core_diameter")
    linear_density_kg_per_m = Quantity("mass_per_length", data_key="linear_density")
    breaking_strength = fields.Nested(_BreakingStrength)
    bury_shortening = fields.Float()
    bedding_in = fields.Float()
    coating = fields.String()
    condition = fields.String()
    far_end = fields.String()


class _Eye(_Load):
    model = spec.Eye
    form = fields.String()
    perimeter_mm = _length("perimeter")
    perimeter_of = fields.String()
    inside_length_mm = _length("inside_length")
    pin_diameter_mm = _length("pin_diameter")
    length_ratio = fields.Float()
    score_diameter_mm = _length("score_diameter")
    seat_perimeter_mm = _length("seat_perimeter")
    bearing_length_mm = _length("bearing_length")
    captive = fields.String()


class _Taper(_Load):
    model = spec.Taper
    pattern = fields.List(fields.Integer())
    measured_by = fields.String()

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> spec.Taper:
        return spec.Taper(**data | {"pattern": tuple(data["pattern"])})


class _Lock(_Load):
    model = spec.Lock
    picks = fields.List(fields.Integer())

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> spec.Lock:
        to_return, to_entry = data["picks"]
        return spec.Lock((to_return, to_entry))


class _End(_Load):
    model = spec.End
    splice = fields.String()
    eye = fields.Nested(_Eye)
    bury_mm = _length("bury")
    bury_fids = fields.Float()
    bury_diameters = fields.Float()
    stitching = fields.String()
    taper = fields.Nested(_Taper)
    lock = fields.Nested(_Lock)
    tucks = fields.Integer()
    thinning = fields.String()
    end_allowance_mm = _length("end_allowance")


class _Ends(_Load):
    model = spec.Ends
    a = fields.Nested(_End)
    b = fields.Nested(_End)
    both = fields.Nested(_End)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> spec.Ends:
        if "both" in data:
            return spec.Ends(data["both"], data["both"], alike=True)
        return spec.Ends(**data, b_given="b" in data)


class _JoinRope(_Load):
    model = spec.JoinRope
    length_mm = _length("length")
    construction = fields.String()
    lay = fields.String()


class _Join(_Load):
    model = spec.Join
    splice = fields.String()
    ropes = fields.List(fields.Nested(_JoinRope))
    circumference_mm = _length("circumference")
    measured = fields.String()
    bury_mm = _length("bury")
    bury_fids = fields.Float()
    bury_diameters = fields.Float()
    stitching = fields.String()
    taper = fields.Nested(_Taper)
    tucks = fields.Integer()
    thinning = fields.String()
    turns = fields.Integer()

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> spec.Join:
        """The ropes as a tuple."""
        return spec.Join(**data | {"ropes": tuple(data.get("ropes", ()))})


class _Resplice(_Load):
    model = spec.Resplice
    end = fields.String()
    cut_back_mm = _length("cut_back")
    required_mm = _length("required")


class _TargetLength(_Load):
    model = spec.TargetLength
    finished_mm = _length("finished")
    available_mm = _length("available")
    between = fields.String()
    state = fields.String()
    tolerance_mm = _length("tolerance")
    resplice = fields.Nested(_Resplice)


class _Use(_Load):
    model = spec.Use
    duty = fields.String()
    working_load_kn = Quantity("force", data_key="working_load")
    design_factor = fields.Float()
    temperature_c = Quantity("temperature", data_key="temperature")
    wet = fields.Boolean()


class _Display(_Load):
    model = spec.Display
    units = fields.String()
    inch_fraction = fields.Integer()
    page = fields.String()


class _Spec(_Load):
    model = spec.Spec
    job = fields.Nested(_Job)
    rope = fields.Nested(_Rope)
    ends = fields.Nested(_Ends)
    join = fields.Nested(_Join)
    length = fields.Nested(_TargetLength)
    use = fields.Nested(_Use)
    display = fields.Nested(_Display)


@cache
def declared() -> _Spec:
    """The whole declaration, as marshmallow's own schema."""
    return _Spec()


class ReadQuantity(Struct, frozen=True):
    """How one quantity of the document was read, for the plan's ``read_as``."""

    pointer: str
    given: str | Mapping[str, Any]
    kind: units.Kind
    value: float


#: what a part of a document becomes, given where it stands and where its quantities are noted
_Converter = Callable[[Json, str, list[ReadQuantity]], Any]


def read(document: Json) -> tuple[spec.Spec, tuple[ReadQuantity, ...]]:
    """The typed spec of a document that the published schema has accepted, and its quantities.

    Built by functions compiled once from the declarations above: marshmallow's own ``load``
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


def _builder(schema: _Load) -> _Converter:
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
            return _quantity_of(field.kind, measured=isinstance(field, MeasuredLength))
        case fields.Nested(schema=_Load() as inner):
            return _builder(inner)
        case fields.List(inner=fields.Nested(schema=_Load() as inner)):
            build = _builder(inner)
            return lambda items, pointer, noted: [
                build(item, f"{pointer}/{n}", noted) for n, item in enumerate(items)
            ]
        case fields.Float():
            return lambda value, _pointer, _noted: float(value)
        case fields.Integer():
            return lambda value, _pointer, _noted: int(value)
    return None


def _quantity_of(kind: units.Kind, *, measured: bool) -> _Converter:
    def read_quantity(given: Json, pointer: str, noted: list[ReadQuantity]) -> Any:
        value = base_value(given)
        noted.append(ReadQuantity(pointer, given, kind, value))
        return _as_measured(given, value) if measured else value

    return read_quantity
