"""Two load-shared double braids joined: each cover tail goes into the other rope's core.

End a is the end of the first rope, end b that of the second.
"""

from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from tuckmark.families import bury_steps, cover_core, cover_core_steps
from tuckmark.families.base import EndRequest, Family, JoinRequest, JoinResult, RopeUse
from tuckmark.families.cover_core import Place, Sections
from tuckmark.families.marking import Kind
from tuckmark.families.rope_room import refuse_short_ropes
from tuckmark.plan import Length, Mark, Step

_KINDS: Final = cover_core.KINDS | {
    "crossover": Kind(
        "crossover", "ring", "where this cover crosses the other core: at that core's cover entry"
    ),
    "body_throat": Kind(
        "throat", "ring", "where the core comes out of the cover; both throats meet in the end"
    ),
    "cover_entry": Kind(
        "cover entry",
        "ring",
        "where the other rope's cover tail goes in; counted from core out toward the knot",
    ),
    "cover_exit": Kind(
        "cover exit",
        "dot",
        "where the tool, and the other rope's cover tail behind it, come out; counted from core "
        "out toward the knot",
    ),
}


class _Tail(Struct, frozen=True):
    request: EndRequest
    marks: tuple[Mark, ...]


def _plan(request: JoinRequest) -> JoinResult:
    first_end, second_end = (request.side(name) for name in ("a", "b"))
    cover_core.refuse_unshared_load(first_end)
    fid = cover_core.fid_sections(first_end)
    stitched = cover_core.is_stitched(first_end)
    taper, knot = (
        cover_core.cover_taper(first_end, fid),
        cover_core.knot_past_throat(first_end, fid),
    )
    shortening = cover_core.shortening(first_end)
    first, second = (
        _Tail(end, _marks(end, fid, knot.mm, stitched=stitched)) for end in (first_end, second_end)
    )
    source = request.reference.statement("double_braid.end_to_end").source
    used_mm = fid.full_mm + fid.short_mm
    use = RopeUse(tail_mm=used_mm, shortening=shortening, run_mm=knot.mm)
    refuse_short_ropes(request, use)
    return JoinResult(
        uses=(use, use),
        figures={
            "bury": Length(fid.full_mm, source=source),
            "buried": Length(fid.full_mm),
            "fid_sections": fid.figures,
            "cover_taper": taper,
            "knot_past_throat": knot,
            "rope_used": Length(2 * used_mm, source=source),
            "core_share": cover_core.core_share(first_end),
            "hold": cover_core.no_hold(),
            "shortening": shortening,
        },
        least_body_mm=2 * knot.mm,
        strength_of="the joined rope",
        closed=False,
        splice_efficiency=request.reference.rule("strength.splice_efficiency.braid"),
        marks=(*first.marks, *second.marks),
        steps=_steps(first, second, stitched=stitched),
        tools=tuple(
            replace(tool, end=None)
            for tool in cover_core_steps.tools(first_end, stitched_throats=2 if stitched else 0)
        ),
    )


def _marks(
    request: EndRequest, fid: Sections, knot_mm: float, *, stitched: bool
) -> tuple[Mark, ...]:
    throat_mm = fid.full_mm + fid.short_mm
    exit_mm = 2 * fid.short_mm + fid.full_mm
    return cover_core.lay_marks(
        request,
        (
            Place("taper_start", "cover", cover_core.cover_taper(request, fid).mm),
            Place("crossover", "cover", fid.full_mm),
            Place("body_throat", "cover", throat_mm),
            *(cover_core.stitch_places(request, throat_mm) if stitched else ()),
            Place("knot", "cover", throat_mm + knot_mm),
            *cover_core.core_places("cover_entry", fid.short_mm, "cover_exit", exit_mm),
        ),
        _KINDS,
    )


def _steps(first: _Tail, second: _Tail, *, stitched: bool) -> tuple[Step, ...]:
    steps: list[Step] = []
    for tail in (first, second):
        steps += cover_core_steps.mark_cover(tail.request, tail.marks)
    for tail in (first, second):
        steps += cover_core_steps.draw_out_core(tail.request, tail.marks)
        steps += cover_core_steps.mark_core(tail.request, tail.marks)
        steps.append(cover_core_steps.thin_cover(tail.request))
    pairs = ((first.request, second.request), (second.request, first.request))
    steps += [_cover_into_core(here, there) for here, there in pairs]
    steps += [_core_into_cover(here, there) for here, there in pairs]
    steps += _closing(first.request, second.request)
    if stitched:
        for tail in (first, second):
            steps += bury_steps.stitching_steps(tail.request)
    return tuple(steps)


def _cover_into_core(here: EndRequest, there: EndRequest) -> Step:
    return Step(
        "splice",
        "bury",
        "Lay the two ends against each other, tips pointing opposite ways. "
        f"{cover_core_steps.tip_on_fid(f'the cover tail of end {here.name}')} Run the fid into the "
        f"core of end {there.name} at its cover entry, through its hollow centre toward that "
        "rope's knot, and out at its cover exit. Draw the cover tail after it, without a twist, "
        f"until the crossover ring of end {here.name} lies at that cover entry. Take the fid "
        "off.",
        here.name,
        (here.mark_id("crossover"), there.mark_id("cover_entry"), there.mark_id("cover_exit")),
        ("fid",),
    )


def _core_into_cover(here: EndRequest, there: EndRequest) -> Step:
    return Step(
        "splice",
        "bury",
        f"{cover_core_steps.tip_on_fid(f'the core tail of end {here.name}')} It lies at the "
        f"crossover of end {there.name}: run the fid into that cover there, and out at its throat. "
        "Draw the core tail after it, and take the fid off.",
        here.name,
        (there.mark_id("crossover"), there.mark_id("body_throat")),
        ("fid",),
    )


def _closing(first: EndRequest, second: EndRequest) -> list[Step]:
    def both(*names: str) -> tuple[str, ...]:
        return tuple(end.mark_id(name) for end in (first, second) for name in names)

    return [
        Step("splice", "smooth",
             "Draw on all four tails in turn until both crossovers are tight and lie close "
             "together. Hold them fast, and smooth each core from its cover entry toward its "
             "cover exit until the tip of the cover tail has drawn in.", None,
             both("crossover", "cover_entry", "cover_exit")),
        Step("splice", "cut_strands",
             "Draw each core tail tight where it comes out at a throat, cut it off there at 45 "
             "degrees, and smooth the cover so that its end slips inside.", None,
             both("body_throat"), ("knife",), bury_steps.KNIFE),
        *(cover_core_steps.milk_home(
            end, ("core_out", "cover_entry", "cover_exit", "crossover"), ("body_throat",)
        ) for end in (first, second)),
    ]  # fmt: skip


FAMILY = Family(
    name="cover_core_end_to_end",
    title="two double braids joined end to end, each cover in the other's core",
    ropes=("double_braid",),
    marks=(
        "taper_start",
        "crossover",
        "body_throat",
        "stitch_start",
        "stitch_end",
        "knot",
        "core_out",
        "cover_entry",
        "cover_exit",
    ),
    sources=("merry_p_56_59", "common_practice_double_braid_knot"),
    confidence="C",
    reads=("fid_length", "core_fibre"),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "double_braid",
            "fibre": "polyester",
            "size": {"diameter": "1/2 in"},
        },
        "join": {
            "splice": "cover_core_end_to_end",
            "ropes": [{"length": "40 ft"}, {"length": "30 ft"}],
        },
    },
    plan_join=_plan,
)
