"""An eye whose tail is buried in its own body: what all of them share, but the closed throat."""

from collections.abc import Mapping

from msgspec import Struct, field

from tuckmark.families import bury_steps, eye_fittings, eyes
from tuckmark.families.base import EndRequest, EndResult, RopeUse
from tuckmark.families.bury import lay_out, measured_pitch, say_customary, taper_figures
from tuckmark.families.bury_length import bury_source
from tuckmark.families.bury_rules import compare_taper, judge_bury, spare_mm
from tuckmark.families.holding import hold_figures
from tuckmark.families.marking import KINDS, Kind, lay_marks
from tuckmark.plan import GIVEN, Figures, Step
from tuckmark.spec import Lock


class Closing(Struct, frozen=True):
    """How the throat of an eye is closed before its tail is buried.

    Attributes:
        steps: what is done at the bench.
        lock: the picks of a lock; None where there is none.
        interlock_mm: rope between the throat marks that an interlock takes up.
        kinds: what the marks are called and for.
        figures: what the plan says of it.
    """

    steps: tuple[Step, ...]
    lock: Lock | None = None
    interlock_mm: float = 0.0
    kinds: Mapping[str, Kind] = field(default_factory=lambda: KINDS)
    figures: Figures = field(default_factory=dict)


def plan_buried_eye(request: EndRequest, closing: Closing, *, stitched: bool) -> EndResult:
    """Plan one buried eye.

    Args:
        stitched: whether the throat is cross-stitched.

    Raises:
        Refused: no such eye, bury or taper can exist.
    """
    rope, lock = request.rope, closing.lock
    shape = eyes.eye_of(request)
    between_throats_mm = shape.perimeter_mm + closing.interlock_mm
    buried = lay_out(request, between_throats_mm, measured_pitch(request), lock)
    judge_bury(
        request,
        bury_mm=buried.nominal.bury_mm,
        buried_mm=buried.nominal.buried_mm,
        locked=lock is not None,
    )
    say_customary(request, buried, locked=lock is not None)
    compare_taper(request, buried.nominal)
    stitched_from = "bury_entry" if lock else "body_throat"
    bury_spare_mm = spare_mm(request, buried.nominal, locked=lock is not None)
    marks = lay_marks(
        request,
        buried,
        stitched_from if stitched else None,
        closing.kinds,
        tolerances=eyes.throat_tolerances(bury_spare_mm, eyes.spare_mm(request, shape)),
    )
    shortening_source = GIVEN if rope.bury_shortening is not None else "derived_braid_geometry"
    shortening = buried.figure(lambda layout: layout.shortening_mm, shortening_source)
    nominal = buried.nominal
    return EndResult(
        rope_use=RopeUse(
            tail_mm=nominal.bury_mm,
            interlock_mm=closing.interlock_mm,
            shortening=shortening,
            eye=eyes.use_of(request, shape, closing.interlock_mm),
            rest_mm=nominal.positions_mm["tip_rest"] - nominal.positions_mm["body_throat"],
            run_mm=nominal.positions_mm["tail_exit"] - nominal.positions_mm["body_throat"],
        ),
        figures={
            "bury": buried.figure(
                lambda layout: layout.bury_mm, bury_source(request, locked=lock is not None)
            ),
            "buried": buried.figure(lambda layout: layout.buried_mm),
            **closing.figures,
            "eye": eyes.described(request.eye, shape),
            "taper": taper_figures(request, buried),
            "hold": hold_figures(request, shape.half_angle_rad, buried),
            "shortening": shortening,
        },
        splice_efficiency=request.reference.rule("strength.splice_efficiency.braid"),
        bend_efficiency=eyes.bend_efficiency(request, shape),
        marks=marks,
        steps=(
            *bury_steps.marking_steps(request, marks),
            *closing.steps,
            *bury_steps.burying_steps(request, marks),
            *(bury_steps.stitching_steps(request) if stitched else ()),
        ),
        tools=(
            *bury_steps.tools(request, buried, stitched_throats=1 if stitched else 0),
            *eye_fittings.tools(request),
        ),
    )
