"""A family for the tests alone: an eye whose tail lies beside the body for ten diameters."""

from tuckmark.families import eyes
from tuckmark.families.base import EndRequest, EndResult, Family, RopeUse
from tuckmark.plan import Length, Mark, Step

_TAIL_D = 10


def _plan(request: EndRequest) -> EndResult:
    shape = eyes.eye_of(request)
    tail_mm = _TAIL_D * request.rope.diameter_mm
    marks = (
        _ring(request, "tail_throat", tail_mm),
        _ring(request, "body_throat", tail_mm + shape.perimeter_mm),
    )
    ids = tuple(mark.id for mark in marks)
    return EndResult(
        rope_use=RopeUse(tail_mm=tail_mm, eye=eyes.use_of(request, shape), run_mm=tail_mm),
        figures={"tail": Length(tail_mm), "eye": eyes.described(request.eye, shape)},
        marks=marks,
        steps=(
            Step("mark", "mark", "Mark both throats.", request.name, ids, ("marker",)),
            Step("splice", "pass", "Lay throat to throat, the tail beside the body.", request.name,
                 ids),
        ),
    )  # fmt: skip


def _ring(request: EndRequest, name: str, at_mm: float) -> Mark:
    return Mark(
        id=request.mark_id(name),
        end=request.name,
        part="rope",
        name=name.replace("_", " "),
        measured_from="bitter_end",
        distance=Length(at_mm),
        fids=None,
        tolerance=None,
        shape="ring",
        picks=None,
        same_as=None,
        purpose="where tail and body meet at the throat",
    )


FAMILY = Family(
    name="toy_eye",
    title="an eye for the tests alone",
    ropes=("laid_3",),
    marks=("tail_throat", "body_throat"),
    sources=("derived_eye_geometry",),
    confidence="B",
    minimal_spec={
        "schema_version": "1.0",
        "rope": {"construction": "laid_3", "fibre": "polyester", "size": {"diameter": "20 mm"}},
        "ends": {"a": {"splice": "toy_eye", "eye": {"form": "flat", "inside_length": "300 mm"}}},
    },
    plan_end=_plan,
)
