"""How each property of a spec is named and built, declared with marshmallow.

It judges nothing: every rule a document must keep stands in the published schema alone, so a
failure in here is a fault of the program and is never shown as the user's.
"""

from functools import cache
from types import MappingProxyType
from typing import Any, ClassVar

from marshmallow import EXCLUDE, Schema, fields, post_load

from tuckmark import quantities, spec, units


class Quantity(fields.Field[float]):
    """A quantity in its text or object form, to a float in the kind's base unit."""

    def __init__(self, kind: units.Kind, **options: Any) -> None:
        self.kind = kind
        super().__init__(**options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **_kwargs: Any) -> float:  # noqa: ARG002 - marshmallow's signature
        return quantities.base_value(value)


class MeasuredLength(Quantity):
    """A measured length, with how far it may be off."""

    def __init__(self, **options: Any) -> None:
        super().__init__("length", **options)

    def _deserialize(self, value: Any, attr: str | None, data: Any, **_kwargs: Any) -> Any:  # noqa: ARG002 - marshmallow's signature
        return quantities.measured(value)


class Load(Schema):
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


class _Job(Load):
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


class _Size(Load):
    model = spec.Size
    diameter = MeasuredLength()
    circumference_mm = _length("circumference")
    size_number = fields.Float()


class _BreakingStrength(Load):
    model = spec.BreakingStrength
    force_kn = Quantity("force", data_key="force")
    basis = fields.String()


class _Rope(Load):
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


class _Eye(Load):
    model = spec.Eye
    form = fields.String()
    perimeter_mm = _length("perimeter")
    perimeter_of = fields.String()
    inside_length = MeasuredLength()
    pin_diameter_mm = _length("pin_diameter")
    length_ratio = fields.Float()
    score_diameter_mm = _length("score_diameter")
    seat_perimeter_mm = _length("seat_perimeter")
    bearing_length_mm = _length("bearing_length")
    captive = fields.String()


class _Taper(Load):
    model = spec.Taper
    pattern = fields.List(fields.Integer())
    measured_by = fields.String()

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> spec.Taper:
        return spec.Taper(**data | {"pattern": tuple(data["pattern"])})


class _Lock(Load):
    model = spec.Lock
    picks = fields.List(fields.Integer())

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> spec.Lock:
        to_return, to_entry = data["picks"]
        return spec.Lock((to_return, to_entry))


class _End(Load):
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


class _Ends(Load):
    model = spec.Ends
    a = fields.Nested(_End)
    b = fields.Nested(_End)
    both = fields.Nested(_End)

    @post_load
    def build(self, data: dict[str, Any], **_kwargs: Any) -> spec.Ends:
        if "both" in data:
            return spec.Ends(data["both"], data["both"], alike=True)
        return spec.Ends(**data, b_given="b" in data)


class _JoinRope(Load):
    model = spec.JoinRope
    length_mm = _length("length")
    construction = fields.String()
    lay = fields.String()


class _Join(Load):
    model = spec.Join
    splice = fields.String()
    ropes = fields.List(fields.Nested(_JoinRope))
    circumference = MeasuredLength()
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


class _Resplice(Load):
    model = spec.Resplice
    end = fields.String()
    cut_back_mm = _length("cut_back")
    required_mm = _length("required")


class _TargetLength(Load):
    model = spec.TargetLength
    finished_mm = _length("finished")
    available_mm = _length("available")
    between = fields.String()
    state = fields.String()
    tolerance_mm = _length("tolerance")
    resplice = fields.Nested(_Resplice)


class _Use(Load):
    model = spec.Use
    duty = fields.String()
    working_load_kn = Quantity("force", data_key="working_load")
    design_factor = fields.Float()
    temperature_c = Quantity("temperature", data_key="temperature")
    wet = fields.Boolean()


class _Display(Load):
    model = spec.Display
    units = fields.String()
    inch_fraction = fields.Integer()
    page = fields.String()


class _Spec(Load):
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
