"""Two 8-strand plaits joined end to end: guidance only."""

from tuckmark.families import plaited, plaited_steps
from tuckmark.families.base import Family, JoinRequest, JoinResult, RopeUse
from tuckmark.plan import Step


def _plan(request: JoinRequest) -> JoinResult:
    first, second = (request.side(name) for name in ("a", "b"))
    laid = plaited.lay_out(first)
    plaited.say_guidance(first)
    use = RopeUse(tail_mm=laid.unlay_mm, run_mm=laid.reach.bounds_mm[1], reckoned=False)
    marks = {end.name: plaited_steps.marks(end, laid, None) for end in (first, second)}
    throats = (first.mark_id("tail_throat"), second.mark_id("tail_throat"))
    return JoinResult(
        uses=(use, use),
        figures=plaited.figures(laid),
        least_body_mm=2 * use.run_mm,
        strength_of="the joined rope",
        closed=False,
        marks=(*marks["a"], *marks["b"]),
        steps=(
            *(
                step
                for end in (first, second)
                for step in plaited_steps.preparing_steps(end, laid, marks[end.name])
            ),
            Step(
                "splice",
                "pass",
                "Put the two ends into each other, pair between pair: right-hand pairs of one "
                "beside right-hand pairs of the other. Push them together until the two tapes of "
                "the tail throats meet, and hold them with a temporary seizing.",
                None,
                throats,
                ("whipping twine",),
            ),
            *plaited_steps.tucking_steps(first, second, laid),
            *plaited_steps.tucking_steps(second, first, laid),
            *plaited_steps.closing_steps(None, throats),
        ),
        tools=plaited_steps.tools(first),
    )


FAMILY = Family(
    name="plaited_end_to_end",
    title="two 8-strand plaits joined end to end, as guidance only",
    ropes=("plaited_8",),
    marks=("tail_throat", "last_pair_tuck", "last_tuck"),
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
        "join": {"splice": "plaited_end_to_end", "ropes": [{"length": "60 m"}, {"length": "40 m"}]},
    },
    plan_join=_plan,
)
