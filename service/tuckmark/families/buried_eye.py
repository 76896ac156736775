"""An eye whose tail is buried in its own body: what the locked and the straight one share."""

from tuckmark.families import bury_steps, eyes
from tuckmark.families.base import EndRequest, EndResult, RopeUse
from tuckmark.families.bury import Buried, bury_source, lay_out, measured_pitch, taper_figures
from tuckmark.families.bury_rules import judge_bury
from tuckmark.families.holding import hold_figures
from tuckmark.families.marking import lay_marks
from tuckmark.identify import GIVEN
from tuckmark.plan import Length
from tuckmark.spec import Lock


def plan_buried_eye(request: EndRequest, lock: Lock | None, *, stitched: bool) -> EndResult:
    """Plan one buried eye.

    Args:
        lock: the picks of the lock; None for a straight bury.
        stitched: whether the throat is cross-stitched.

    Raises:
        Refused: no such eye, bury or taper can exist.
    """
    end, rope = request.end, request.rope
    shape = eyes.eye_of(request)
    if end.eye is None:
        raise ValueError("the schema lets no eye splice pass without its eye")
    buried = lay_out(request, shape, measured_pitch(request), lock)
    judge_bury(request, buried.nominal, locked=lock is not None)
    _compare_taper(request, buried)
    marks = lay_marks(request, buried, _stitched_from(lock) if stitched else None)
    shortening_source = GIVEN if rope.bury_shortening is not None else "derived_braid_geometry"
    shortening = buried.spread(lambda layout: layout.shortening_mm, shortening_source)
    nominal = buried.nominal
    return EndResult(
        rope_use=RopeUse(
            tail_mm=nominal.bury_mm,
            eye_mm=shape.perimeter_mm,
            shortening=shortening,
            inside_length_mm=shape.inside_length_mm,
            bearing_known=end.eye.form != "thimble" or end.eye.bearing_length_mm is not None,
            pin_diameter_mm=eyes.pin_diameter_mm(end.eye),
            run_mm=nominal.positions_mm["tail_exit"] - nominal.positions_mm["body_throat"],
        ),
        figures={
            "bury": buried.spread(
                lambda layout: layout.bury_mm, bury_source(request, locked=lock is not None)
            ),
            "buried": buried.spread(lambda layout: layout.buried_mm),
            "eye": eyes.described(end.eye, shape),
            "taper": taper_figures(request, buried),
            "hold": hold_figures(request, shape, buried),
            "shortening": shortening,
        },
        splice_efficiency=request.reference.rule("strength.splice_efficiency.braid"),
        bend_efficiency=eyes.bend_efficiency(request, shape),
        marks=marks,
        steps=(
            *bury_steps.marking_steps(request, marks),
            *bury_steps.bury_steps(request, marks, lock, end.eye.captive),
            *(bury_steps.stitching_steps(request) if stitched else ()),
        ),
        tools=bury_steps.tools(request, buried, stitched=stitched),
    )


def _stitched_from(lock: Lock | None) -> str:
    return "bury_entry" if lock else "body_throat"


def _compare_taper(request: EndRequest, buried: Buried) -> None:
    """Two published tapers, by picks and by one fid: say so where they disagree much."""
    if request.end.taper is not None:
        return
    share = request.reference.rule("taper.disagreement")
    fid_mm, taper_mm = request.rope.full_fid_mm, buried.nominal.taper[-1].at_mm
    if abs(taper_mm - fid_mm) > share.value * fid_mm:
        request.notices.add(
            "taper_counts_disagree",
            request.pointer,
            value=Length(taper_mm),
            limit=Length(fid_mm),
            source=share.source,
        )
