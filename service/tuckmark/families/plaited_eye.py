"""An eye in 8-strand plait: guidance only."""

from tuckmark.families import eye_fittings, eyes, plaited, plaited_steps
from tuckmark.families.base import EndRequest, EndResult, Family, RopeUse
from tuckmark.plan import Step


def _plan(request: EndRequest) -> EndResult:
    eye = request.eye
    laid = plaited.lay_out(request)
    shape = eyes.eye_of(request)
    plaited.say_guidance(request)
    marks = plaited_steps.marks(request, laid, laid.unlay_mm + shape.perimeter_mm)
    throats = (request.mark_id("tail_throat"), request.mark_id("body_throat"))
    return EndResult(
        rope_use=RopeUse(
            tail_mm=laid.unlay_mm,
            eye=eyes.use_of(request, shape),
            run_mm=laid.reach.bounds_mm[1],
            reckoned=False,
        ),
        figures={**plaited.figures(laid), "eye": eyes.described(eye, shape)},
        bend_efficiency=eyes.bend_efficiency(request, shape),
        marks=marks,
        steps=(
            *plaited_steps.preparing_steps(request, laid, marks),
            *eye_fittings.captive_steps(request),
            *eye_fittings.thimble_steps(request),
            Step(
                "splice",
                "pass",
                "Bring the tape of the tail throat against the body throat: this is the eye. Look "
                "that neither leg is twisted.",
                request.name,
                throats,
            ),
            *plaited_steps.tucking_steps(request, request, laid),
            *plaited_steps.closing_steps(request, throats),
        ),
        tools=(*plaited_steps.tools(request), *eye_fittings.tools(request)),
    )


FAMILY = Family(
    name="plaited_eye",
    title="an eye in 8-strand plait, as guidance only",
    ropes=("plaited_8",),
    marks=("tail_throat", "body_throat", "last_pair_tuck", "last_tuck"),
    sources=("common_practice_plaited", "derived_plait_pick"),
    confidence="C",
    reads=("pitch",),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "plaited_8",
            "fibre": "polypropylene",
            "size": {"diameter": "48 mm"},
            "pitch": "170 mm",
        },
        "ends": {
            "a": {"splice": "plaited_eye", "eye": {"form": "flat", "inside_length": "1800 mm"}}
        },
    },
    plan_end=_plan,
)
