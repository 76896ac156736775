"""An eye whose tail is buried in its own body: what the locked and the straight one share."""

from tuckmark.families import bury_steps, eyes
from tuckmark.families.base import EndRequest, EndResult, RopeUse
from tuckmark.families.bury import Buried, lay_out, taper_plan
from tuckmark.families.bury_rules import judge_bury
from tuckmark.families.holding import hold
from tuckmark.families.marking import lay_marks
from tuckmark.faults import Fault, Refused
from tuckmark.plan import EndFigures, Length
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
    buried = lay_out(request, shape, _pitch(request), lock)
    judge_bury(request, buried.nominal, locked=lock is not None)
    _compare_taper(request, buried)
    marks = lay_marks(request, buried, _stitched_from(lock) if stitched else None)
    shortening_source = (
        "given_in_spec" if rope.bury_shortening is not None else "derived_braid_geometry"
    )
    shortening = buried.spread(lambda layout: layout.shortening_mm, shortening_source)
    nominal = buried.nominal
    return EndResult(
        splice=end.splice,
        rope_use=RopeUse(
            tail_mm=nominal.bury_mm,
            eye_mm=shape.perimeter_mm,
            shortening=shortening,
            inside_length_mm=shape.inside_length_mm,
            bearing_known=end.eye.form != "thimble" or end.eye.bearing_length_mm is not None,
            pin_diameter_mm=eyes.pin_diameter_mm(end.eye),
            run_mm=nominal.positions_mm["tail_exit"] - nominal.positions_mm["body_throat"],
        ),
        figures=EndFigures(
            bury=buried.spread(lambda layout: layout.bury_mm, _bury_source(request, lock)),
            buried=buried.spread(lambda layout: layout.buried_mm),
            eye=eyes.described(end.eye, shape),
            taper=taper_plan(request, buried),
            hold=hold(request, shape, buried),
            shortening=shortening,
        ),
        bend_efficiency=eyes.bend_efficiency(request, shape),
        marks=marks,
        steps=(
            *bury_steps.marking_steps(request, marks),
            *bury_steps.bury_steps(request, marks, lock, end.eye.captive),
            *(bury_steps.stitching_steps(request) if stitched else ()),
        ),
        tools=bury_steps.tools(request, buried, stitched=stitched),
    )


def _pitch(request: EndRequest) -> Length:
    pitch = request.rope.pitch
    if pitch is None:
        raise Refused(
            (
                Fault(
                    "/rope",
                    "pitch_needed",
                    "The pitch of this braid must be measured: none may be assumed for its fibre.",
                    hint="Count ten picks under hand tension, measure them, and give six tenths "
                    "of that as rope.pitch.",
                ),
            )
        )
    return pitch


def _stitched_from(lock: Lock | None) -> str:
    return "bury_entry" if lock else "body_throat"


def _bury_source(request: EndRequest, lock: Lock | None) -> str:
    end, rule = request.end, request.reference.rule
    if any(given is not None for given in (end.bury_mm, end.bury_fids, end.bury_diameters)):
        return "given_in_spec"
    if not request.rope.high_modulus:
        return rule("bury.standard.default").source
    if lock:
        return rule("bury.locked.high_modulus").source
    uncoated = request.rope.coating == "uncoated"
    return rule(f"bury.high_modulus.{'uncoated' if uncoated else 'default'}").source


def _compare_taper(request: EndRequest, buried: Buried) -> None:
    """Two published tapers, by picks and by one fid: say so where they disagree much."""
    if request.end.taper is not None:
        return
    share = request.reference.rule("taper.disagreement")
    fid_mm, taper_mm = request.rope.fid.mm, buried.nominal.taper[-1].at_mm
    if abs(taper_mm - fid_mm) > share.value * fid_mm:
        request.notices.add(
            "taper_counts_disagree",
            request.pointer,
            value=Length(taper_mm),
            limit=Length(fid_mm),
            source=share.source,
        )
