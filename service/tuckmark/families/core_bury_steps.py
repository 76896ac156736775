"""Bench work of an eye whose core is buried in itself: its marks, and what to do at them."""

from collections.abc import Sequence
from typing import Final

from tuckmark.families import bury_steps, cover_core, cover_core_steps, eye_fittings
from tuckmark.families.base import EndRequest
from tuckmark.families.marking import Kind, hand_tension
from tuckmark.plan import Mark, Step

KINDS: Final = cover_core.KINDS | {
    "core_taper_start": Kind(
        "core taper",
        "ring",
        "from here to its tip the core is thinned; counted from the core's own end",
    ),
    "core_throat": Kind(
        "core throat",
        "ring",
        "where the core leaves the eye, at the core entry; counted from the core's own end",
    ),
    "bury_entry": Kind(
        "core entry",
        "ring",
        "where the core tail goes into the core; counted from core out toward the knot",
    ),
    "tail_exit": Kind(
        "tool exit",
        "dot",
        "where the tool, and the core tail behind it, come out; counted from core out toward the "
        "knot",
    ),
}
_STRANDS: Final = 12  # of the braid that the customary taper is counted in


def steps(request: EndRequest, marks: Sequence[Mark]) -> tuple[Step, ...]:
    """From the marks on the cover to the cover milked home."""
    return (
        *cover_core_steps.mark_cover(request, marks),
        *cover_core_steps.draw_out_core(request, marks),
        *cover_core_steps.mark_core(request, marks),
        _mark_core_tail(request, marks),
        *eye_fittings.captive_steps(request),
        *_bury_core(request),
        *eye_fittings.thimble_steps(request),
        cover_core_steps.milk_home(
            request, ("core_out", "bury_entry", "tail_exit"), ("tail_throat", "body_throat")
        ),
        cover_core_steps.thin_cover(request),
        _bury_cover(request),
    )


def _mark_core_tail(request: EndRequest, marks: Sequence[Mark]) -> Step:
    tail = [mark for mark in marks if mark.part == "core" and mark.measured_from == "bitter_end"]
    return Step(
        "splice",
        "mark",
        f"On the core tail, drawn straight under {hand_tension(request)}, measure from the core's "
        f"own end toward the eye and mark: {cover_core_steps.listed(request, tail)}.",
        request.name,
        tuple(mark.id for mark in tail),
        ("measuring tape", "marker"),
    )


def _bury_core(request: EndRequest) -> tuple[Step, ...]:
    here, mark_id = request.name, request.mark_id
    pairs = request.reference.taper_pattern("default").picks
    return (
        Step("splice", "pass",
             "Lead the core tail back round the eye. "
             f"{cover_core_steps.tip_on_fid('the core tail')} Run the fid into the empty cover at "
             "the body throat, through the eye and out at the tail throat, parting the strands "
             "there without cutting one. Draw the core tail after it until the core throat shows "
             "at the tail throat and the cover lies smooth over the eye.", here,
             (mark_id("body_throat"), mark_id("tail_throat"), mark_id("core_throat")),
             ("fid", "spike")),
        Step("splice", "bury",
             "Run the fid into the core at the core entry, through its hollow centre toward the "
             "knot, catching no strand, and out at the tool exit. The run is longer than the tail: "
             "go in stages, and gather the core in bunches over the fid. Draw the core tail after "
             "it, without a twist and with the core kept gathered, until the core taper lies bare "
             "past the tool exit. If it stays inside, gather the core further; never pull the core "
             "throat past the core entry. Take the fid off.", here,
             (mark_id("bury_entry"), mark_id("tail_exit"), mark_id("core_taper_start")),
             ("fid",)),
        Step("splice", "cut_strands",
             f"Thin the core tail from the core taper to its tip: {len(pairs)} times, at even "
             "spaces, cut one left and one right strand and draw out what lies toward the tip. Of "
             f"a core of {_STRANDS} strands {_STRANDS - 2 * len(pairs)} then reach the tip; of "
             "another leave about the same share. How many is common practice. Cut the tip at 45 "
             "degrees.", here, (mark_id("core_taper_start"),), ("knife",),
             bury_steps.KNIFE),
        Step("splice", "smooth",
             "Draw the core tail until the core throat lies at the core entry. Hold it fast there "
             "and smooth the core from the core entry toward the tool exit, again and again, "
             "until the tail has drawn in and the core lies even over it.", here,
             (mark_id("core_throat"), mark_id("bury_entry"), mark_id("tail_exit"))),
    )  # fmt: skip


def _bury_cover(request: EndRequest) -> Step:
    return Step(
        "splice",
        "bury",
        f"{cover_core_steps.tip_on_fid('the cover tail')} Run the fid in at the body throat, "
        "between cover and core and beside the buried part, toward the body, as far as the cover "
        "tail reaches, and out through the cover. Draw the cover tail after it, take the fid off, "
        "and smooth the cover over the tail until its tip slips inside. It carries no load; it "
        "closes the throat.",
        request.name,
        (request.mark_id("tail_throat"), request.mark_id("body_throat")),
        ("fid",),
    )
