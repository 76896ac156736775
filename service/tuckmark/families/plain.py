"""An end without a splice: whipped, with what allowance the spec asks for."""

from tuckmark.families.base import EndRequest, EndResult, Family, RopeUse
from tuckmark.plan import Length, Step


def _plan(request: EndRequest) -> EndResult:
    return EndResult(
        rope_use=RopeUse(end_allowance_mm=request.end.end_allowance_mm),
        figures={"end_allowance": Length(request.end.end_allowance_mm)},
        carries_load=False,
        steps=(
            Step(
                "finish",
                "prepare",
                f"Whip end {request.name}, as wide as the rope is thick, so that it cannot fray.",
                request.name,
                tools=("whipping twine",),
            ),
        ),
    )


FAMILY = Family(
    name="plain",
    title="a plain end",
    ropes=(
        "single_braid_12",
        "double_braid",
        "core_dependent_double_braid",
        "plaited_8",
        "laid_3",
        "laid_4",
    ),
    marks=(),
    sources=("fm_5_125",),
    confidence="A",
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "single_braid_12",
            "fibre": "polyester",
            "size": {"diameter": "12 mm"},
        },
        "ends": {
            "a": {
                "splice": "straight_bury_eye",
                "eye": {"form": "flat", "inside_length": "200 mm"},
            },
            "b": {"splice": "plain", "end_allowance": "300 mm"},
        },
    },
    plan_end=_plan,
)
