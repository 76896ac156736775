"""The double-braid half of the back splice: an end finished by its cover turned back into its core.

It carries no load, so it is planned for every fibre and says nothing of strength.
"""

from typing import Final

from tuckmark.families import bury_steps, cover_core, cover_core_steps
from tuckmark.families.base import EndRequest, EndResult, RopeUse
from tuckmark.families.marking import Kind
from tuckmark.plan import Length, Mark, Step

_KINDS: Final = cover_core.KINDS | {
    "tail_throat": Kind("throat", "ring", "where the core comes out; the end of the finished rope"),
}


def plan_cover_core_back(request: EndRequest) -> EndResult:
    """Plan the back splice of one end of a double braid.

    The cover's tail of one full fid goes into the core a short section past where the core
    comes out; the tool comes out a full and a short section further on. There is no eye.

    Source: Merry, The Splicing Handbook, p. 59-61.
    """
    fid = cover_core.fid_sections(request)
    taper, knot = cover_core.cover_taper(request, fid), cover_core.knot_past_throat(request, fid)
    entry_mm, exit_mm = fid.short_mm, 2 * fid.short_mm + fid.full_mm
    shortening = cover_core.shortening(request)
    source = request.reference.statement("double_braid.back_splice").source
    marks = cover_core.lay_marks(
        request,
        (
            cover_core.Place("taper_start", "cover", taper.mm),
            cover_core.Place("tail_throat", "cover", fid.full_mm),
            cover_core.Place("knot", "cover", fid.full_mm + knot.mm),
            *cover_core.core_places(
                "cover_entry", entry_mm, "cover_exit", exit_mm, out_of="tail_throat"
            ),
        ),
        _KINDS,
    )
    return EndResult(
        rope_use=RopeUse(
            tail_mm=fid.full_mm, shortening=shortening, run_mm=knot.mm, rest_mm=exit_mm
        ),
        figures={
            "bury": Length(fid.full_mm, source=source),
            "buried": Length(fid.full_mm),
            "fid_sections": fid.figures,
            "cover_taper": taper,
            "knot_past_throat": knot,
            "hold": cover_core.no_hold(),
            "shortening": shortening,
        },
        marks=marks,
        steps=_steps(request, marks),
        tools=cover_core_steps.tools(request, stitched_throats=0),
        carries_load=False,
    )


def _steps(request: EndRequest, marks: tuple[Mark, ...]) -> tuple[Step, ...]:
    here, mark_id = request.name, request.mark_id
    return (
        *cover_core_steps.mark_cover(request, marks),
        *cover_core_steps.draw_out_core(request, marks),
        *cover_core_steps.mark_core(request, marks),
        cover_core_steps.thin_cover(request),
        Step("splice", "bury",
             f"{cover_core_steps.tip_on_fid('the cover tail')} Run the fid into the core at the "
             "cover entry, through its hollow centre toward the knot, and out at the cover exit. "
             "Draw the cover tail after it until the throat ring on the cover lies at the cover "
             "entry. Take the fid off.", here,
             (mark_id("cover_entry"), mark_id("cover_exit"), mark_id("tail_throat")), ("fid",)),
        Step("splice", "smooth",
             "Hold the cover entry fast and smooth the core toward the cover exit until the tip "
             "of the cover tail has drawn in.", here,
             (mark_id("cover_entry"), mark_id("cover_exit"))),
        Step("splice", "cut_strands",
             "Cut the core tail off close beside the cover entry, at 45 degrees: it carries "
             "nothing here, and goes inside with the rest. Cut nothing of the cover.", here,
             (mark_id("cover_entry"),), ("knife",), bury_steps.KNIFE),
        cover_core_steps.milk_home(
            request, ("core_out", "cover_entry", "cover_exit"), ("tail_throat",)
        ),
    )  # fmt: skip
