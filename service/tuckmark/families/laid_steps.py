"""What to do at the bench with the strands of a laid rope, in plain words that name the marks."""

from collections.abc import Iterable
from typing import Final

from tuckmark.families import eye_fittings
from tuckmark.families.base import EndRequest
from tuckmark.families.bury_steps import KNIFE
from tuckmark.families.laid import Lay, Tucked
from tuckmark.families.marking import hand_tension
from tuckmark.plan import Mark, Step, Tool
from tuckmark.spec import EndName
from tuckmark.writing import LengthText

AGAINST: Final[dict[Lay, str]] = {"z": "from right to left", "s": "from left to right"}
_BESIDE: Final[dict[Lay, tuple[str, int, int]]] = {"z": ("left", 1, 3), "s": ("right", 3, 1)}
_TWIST: Final[dict[Lay, str]] = {
    "z": "left-hand (s) twist, opposite to the right-hand (z) lay",
    "s": "right-hand (z) twist, opposite to the left-hand (s) lay",
}


def marking_step(request: EndRequest, marks: Iterable[Mark]) -> Step:
    """Set every mark on the rope before it is unlaid."""
    on_rope = [mark for mark in marks if mark.part == "rope"]
    return Step(
        "mark",
        "mark",
        f"End {request.name}: tape the bitter end tightly, so that every distance starts from one "
        f"clean edge. With the rope straight under {hand_tension(request)}, mark from the bitter "
        f"end: {_listed(on_rope, request.write)}. A ring goes round the whole rope.",
        request.name,
        tuple(mark.id for mark in on_rope),
        ("tape", "measuring tape", "marker"),
    )


def unlaying_step(request: EndRequest, lay: Lay) -> Step:
    """Seize and unlay; where no eye shows which strand lies where, number the strands."""
    number = f", and number them 1 to {request.rope.strands} in order round the rope"
    return Step(
        "splice",
        "prepare",
        f"End {request.name}: put a seizing round the rope on the ring of the tail throat, and "
        "unlay the strands from the bitter end back to it, no further. Tape the end of every "
        f"strand{'' if request.end.eye else number}. Keep each strand's own twist in it: "
        f"{_TWIST[lay]}.",
        request.name,
        (request.mark_id("tail_throat"),),
        ("whipping twine", "tape", "marker"),
    )


def strand_marking_step(request: EndRequest, strand_tail: Mark) -> Step:
    """The ring on every strand that must not go under."""
    return Step(
        "splice",
        "mark",
        f"End {request.name}: mark a ring for the {strand_tail.name} on each strand, "
        f"{request.write.write(strand_tail.distance.mm)} from the strand's own end. All from the "
        "ring to that end is to stand outside the body when the full tucks are made.",
        request.name,
        (strand_tail.id,),
        ("measuring tape", "marker"),
    )


def eye_steps(request: EndRequest, lay: Lay) -> tuple[Step, ...]:
    """Close the eye and make the first full tuck."""
    here = request.name
    throats = (request.mark_id("tail_throat"), request.mark_id("body_throat"))
    return (
        *eye_fittings.captive_steps(request),
        *eye_fittings.thimble_steps(request),
        Step("splice", "pass",
             "Bring the tail throat against the body throat: this is the eye. Look that neither "
             "leg is twisted. Lay the strands on the body and number them as they lie, looking "
             f"from the eye along the body: {_numbers(request)}.", here, throats, ("marker",)),
        Step("splice", "pass", f"{_first_tuck(request, lay)} One strand now comes out of every "
             "gap between the strands of the body, and no two out of one. Draw them down until "
             "the throats touch: this is the first full tuck.", here,
             (request.mark_id("body_throat"),), ("fid",)),
    )  # fmt: skip


def tucking_steps(
    request: EndRequest, body: EndRequest, tucked: Tucked, lay: Lay, *, begun: int
) -> tuple[Step, ...]:
    """Every full tuck and every thinned one, of one end's strands into one body.

    Args:
        body: the end whose body takes the strands; the same end for an eye.
        begun: full tucks made already.
    """
    counts, write = tucked.counts, request.write.write
    low_mm, high_mm = tucked.reach(counts.full).bounds_mm
    into = "the body" if body.name == request.name else f"the body of end {body.name}"
    count = f"{counts.full} full tuck" + ("s" if counts.full > 1 else "")
    steps = []
    if counts.full > begun:
        steps.append(
            Step("splice", "pass",
                 f"End {request.name}: tuck its strands in turn into {into}, each over one strand "
                 f"and under the next, against the lay, {AGAINST[lay]} as you look from the "
                 f"throat along that body, round after round, until every strand has {count}. "
                 "Draw each round snug toward the throat, and twist a strand up again where it "
                 f"opens: {_TWIST[lay]}. The last round comes out about at the last full tuck; "
                 f"{write(low_mm)} to {write(high_mm)} past the throat is as expected.",
                 request.name, (body.mark_id("last_full_tuck"),), ("fid",))
        )  # fmt: skip
    steps.append(
        Step("splice", "check",
             f"End {request.name}: count {count} on every strand, and look that every ring of "
             "the strand tail still stands outside the body. If one has gone under, its tail is "
             "too short and may pull out: draw the tucks out and make them again, snugger.",
             request.name, (body.mark_id("last_full_tuck"), request.mark_id("strand_tail")))
    )  # fmt: skip
    if counts.tapered:
        steps.append(
            Step("splice", "pass", f"End {request.name}: {_thinned(request, tucked)} The last "
                 "comes out about at the last tuck.", request.name,
                 (body.mark_id("last_tuck"),), ("fid",))
        )  # fmt: skip
    return tuple(steps)


def rounding_step(end: EndName | None, marks: tuple[str, ...]) -> Step:
    """Seizing off (of a join, the temporary one), strands worked even."""
    seizing = "seizing" if end else "temporary seizing"
    return Step(
        "splice",
        "smooth",
        f"Take the {seizing} off, and roll and beat the splice round from the throat outward until "
        "all strands lie even and pull alike.",
        end,
        marks,
    )


def trimming_step(request: EndRequest, tucked: Tucked) -> Step:
    """What may be cut off once the splice is set, and what must stay."""
    tail = request.write.write(tucked.tail_mm)
    texts = {
        "none": f"leave the tail of every strand at least {tail} long past its last full tuck. "
        "Cut off only what is longer, and whip the ends",
        "strands": "a strand with fewer than two tucks past its full ones keeps a tail of at "
        f"least {tail}, whipped; cut the others near where they come out, not flush",
    }
    cut = "cut the yarns laid aside and the thinned ends near where they come out, not flush"
    return Step(
        "finish",
        "cut_strands",
        f"End {request.name}, after setting: {texts.get(tucked.counts.thinning, cut)}.",
        request.name,
        (request.mark_id("strand_tail"),),
        ("knife", "whipping twine"),
        KNIFE,
    )


def tools(request: EndRequest) -> tuple[Tool, ...]:
    """What opens the strands."""
    size = request.write.write(request.rope.diameter_mm)
    return (Tool("fid", f"to open the strands of {size} rope: a hollow one or a spike"),)


def _first_tuck(request: EndRequest, lay: Lay) -> str:
    against, (beside, second, third) = AGAINST[lay], _BESIDE[lay]
    way = f"against the lay, {against} as you look from the eye along the body"
    if request.rope.strands == 3:
        return (
            f"At the ring of the body throat tuck strand 2 under one strand of the body, {way}. "
            f"Tuck strand {second}, on its {beside}, over that strand of the body and under the "
            f"next one. Turn the splice over and tuck strand {third}, also {against}, under the "
            "strand of the body that is left."
        )
    return (
        f"At the ring of the body throat tuck strands 1 to {request.rope.strands} in turn, each "
        f"under a strand of the body of its own, {way}, turning the splice as you go."
    )


def _numbers(request: EndRequest) -> str:
    """How the strands of an eye are numbered as they lie on the body."""
    strands = request.rope.strand_count
    if strands == 3:
        return "1 left, 2 middle, 3 right"
    return f"1 to {strands} from left to right"


def _thinned(request: EndRequest, tucked: Tucked) -> str:
    if tucked.counts.thinning == "yarns":
        return (
            "lay a third of the yarns of every strand aside and tuck it once more; lay half of "
            "the rest aside and tuck what is left once more."
        )
    if tucked.counts.thinning == "tucks":
        return (
            "lay half of every strand aside and tuck the other half once more; lay half of that "
            "aside and tuck the quarter once more."
        )
    strands = request.rope.strand_count
    rounds = [f"from {drop + 1} to {strands}" for drop in range(1, strands - 1)]
    listed = "; then ".join(f"tuck strands {which} once" for which in rounds)
    return f"drop a strand in turn at every round: {listed}; then tuck strand {strands} alone once."


def _listed(marks: list[Mark], write: LengthText) -> str:
    return ", ".join(
        f"a {mark.shape} for {'' if mark.name[-1].isdigit() else 'the '}{mark.name} at "
        f"{write.write(mark.distance.mm)}"
        for mark in marks
    )
