"""An eye whose tail and body each pass through the other at the throat, then a straight bury."""

from typing import Final

from tuckmark.families import eye_fittings
from tuckmark.families.base import EndRequest, EndResult, Family
from tuckmark.families.buried_eye import Closing, plan_buried_eye
from tuckmark.families.bury_rules import straight_limits
from tuckmark.families.marking import KINDS, Kind
from tuckmark.plan import Length, Step

_KINDS: Final[dict[str, Kind]] = KINDS | {
    "tail_throat": Kind(
        "tail throat", "ring", "throat of the eye on the tail, and the first hole of the interlock"
    ),
    "body_throat": Kind(
        "body throat", "ring", "throat of the eye on the body, and the second hole of the interlock"
    ),
}


def _plan(request: EndRequest) -> EndResult:
    allowance = request.reference.rule("interlock.allowance")
    interlock = Length(allowance.value * request.rope.diameter_mm, source=allowance.source)
    closed = request.far_end == "closed"
    if closed:
        _warn_of_captive(request)
    closing = Closing(
        steps=_with_far_end_closed(request) if closed else _with_far_end_free(request),
        interlock_mm=interlock.mm,
        kinds=_KINDS,
        figures={"interlock": interlock, "far_end": request.far_end},
    )
    stitched = request.end.stitching != "none"
    if not stitched:  # interlocked is locked: no stop, as for a straight bury
        request.notices.add(
            "interlocked_unstitched",
            f"{request.pointer}/stitching",
            source=request.reference.rule("stitch.length").source,
        )
    return plan_buried_eye(request, closing, stitched=stitched)


def _warn_of_captive(request: EndRequest) -> None:
    captive = request.eye.captive
    if captive is not None:
        request.notices.add(
            "captive_through_interlock", f"{request.pointer}/eye/captive", captive=captive
        )


def _with_far_end_free(request: EndRequest) -> tuple[Step, ...]:
    here, mark_id = request.name, request.mark_id
    far = "b" if here == "a" else "a"
    throats = (mark_id("tail_throat"), mark_id("body_throat"))
    return (
        *eye_fittings.captive_steps(request),
        *eye_fittings.thimble_steps(request),
        Step("splice", "pass",
             "Pass the whole tail through the body at the body throat, half of the strands of the "
             "body on each side of the tail, and draw it through until the tail throat meets the "
             "body throat: this is the eye. Look that neither leg is twisted.", here, throats,
             ("fid",)),
        Step("splice", "pass",
             f"Part the strands of the tail at the tail throat, half on each side. Pass end {far} "
             "through there, and after it all of the rope up to the body throat. Tail and body "
             "now each pass through the other: draw them together until they lie hard and even.",
             here, throats, ("fid",)),
    )  # fmt: skip


def _with_far_end_closed(request: EndRequest) -> tuple[Step, ...]:
    here, mark_id = request.name, request.mark_id
    tail_throat, body_throat = mark_id("tail_throat"), mark_id("body_throat")
    why = "End a is made by now" if here == "b" else "The far end of this rope is closed"
    return (
        *eye_fittings.captive_steps(request),
        Step("splice", "pass",
             f"{why}, so the eye is passed through the holes in place of the body: try it once "
             "on an offcut. At the tail throat run the tail end through the rope, half of the "
             "strands on each side, and draw all of the tail after it until the rope turns over "
             "on itself there and leaves a small hole with spiral sides.",
             here, (tail_throat,), ("fid",)),
        Step("splice", "pass",
             "Do the same at the body throat, running the tail through in the same direction. "
             "The two holes must lie in one line and face the same way; the eye is what lies "
             "between them.", here, (body_throat,), ("fid",)),
        Step("splice", "pass",
             "Stretch the hole at the tail throat without breaking a strand. Work the eye, "
             "doubled, through it, and go on until the hole at the body throat has come through "
             "as well.", here, (tail_throat, body_throat), ("fid",)),
        Step("splice", "pass",
             "Work the eye back through the hole at the body throat until that hole has turned "
             "back to plain braid. Tail and body now each pass through the other. Look that "
             "neither leg of the eye is twisted; if one is, the eye went through from the wrong "
             "side.", here, (body_throat, tail_throat), ("fid",)),
        *eye_fittings.thimble_steps(request),
        Step("splice", "pass",
             "Draw tail and body together until they lie hard and even.", here,
             (tail_throat, body_throat)),
    )  # fmt: skip


FAMILY = Family(
    name="interlocked_eye",
    title="an eye interlocked at the throat, then buried straight",
    ropes=("single_braid_12",),
    marks=(
        "taper_1…n",
        "tail_throat",
        "body_throat",
        "bury_entry",
        "stitch_start",
        "stitch_end",
        "tip_rest",
        "tail_exit",
    ),
    sources=(
        "toss_p_126",
        "public_knot_tutorial_interlock",
        "toss_p_122_124",
        "toss_p_125_127_140",
        "merry_p_54",
        "common_practice_taper",
        "common_practice_stitching",
        "assumption_braid_pitch",
    ),
    confidence="C",
    reads=("fid_length", "pitch", "bury_shortening", "coating", "far_end"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "single_braid_12",
            "fibre": "hmpe",
            "size": {"diameter": "10 mm"},
        },
        "ends": {
            "a": {
                "splice": "interlocked_eye",
                "eye": {"form": "flat", "inside_length": "150 mm"},
            }
        },
    },
    plan_end=_plan,
    bury_limits=straight_limits,
)
