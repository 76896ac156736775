"""An eye tucked into 12-strand braid: the tail is unlaid, its strands woven into the body."""

import math

from tuckmark.families import eye_fittings, eyes
from tuckmark.families.base import EndRequest, EndResult, Family, RopeUse
from tuckmark.families.bury_steps import KNIFE
from tuckmark.families.marking import hand_tension
from tuckmark.plan import Figures, Length, Mark, Step, Tool


def _plan(request: EndRequest) -> EndResult:
    rule, rope = request.reference.rule, request.rope
    shape = eyes.eye_of(request)
    if rope.high_modulus:
        request.notices.add(
            "tucked_high_modulus",
            f"{request.pointer}/splice",
            source=request.reference.statement("tucked_12.fibre").source,
        )
    unlay, shortening = _unlay(request), _shortening(request)
    marks = _marks(request, unlay.mm, unlay.mm + shape.perimeter_mm)
    return EndResult(
        rope_use=RopeUse(
            tail_mm=unlay.mm,
            shortening=shortening,
            eye=eyes.use_of(request, shape),
            run_mm=unlay.mm,
        ),
        figures={
            "unlay": unlay,
            "eye": eyes.described(request.eye, shape),
            **_tucks(request),
            # no tuck's advance is published, but no strand reaches past its own length
            "run": Length(unlay.mm, source=request.reference.statement("tucked_12.reach").source),
            "shortening": shortening,
        },
        # nothing published says what tucks keep in fibre as slippery as this
        splice_efficiency=None if rope.high_modulus else rule("strength.splice_efficiency.braid"),
        bend_efficiency=eyes.bend_efficiency(request, shape),
        marks=marks,
        steps=(*_marking_steps(request, marks), *_tucking_steps(request)),
        tools=(
            Tool("spike", "blunt, or a fid, to lift single strands of the body", request.name),
            Tool("seizing twine", "for the tail throat", request.name),
            Tool("strand tape", "for twelve strand ends, then for six pairs", request.name),
            *eye_fittings.tools(request),
        ),
    )


def _unlay(request: EndRequest) -> Length:
    """Rope to unlay: published in circumferences, which the trade counts as three diameters."""
    rule, diameter_mm = request.reference.rule, request.rope.diameter_mm
    circumferences = rule("tucked_12.unlay")
    nominal_mm = rule("size.circumference_to_diameter").value * diameter_mm
    unlay_mm = circumferences.value * nominal_mm
    request.notices.add(
        "unlay_by_nominal_circumference",
        request.pointer,
        value=Length(unlay_mm),
        limit=Length(circumferences.value * math.pi * diameter_mm),
        source=circumferences.source,
        circumferences=f"{circumferences.value:g}",
    )
    return Length(unlay_mm, source=circumferences.source)


def _shortening(request: EndRequest) -> Length:
    """Body lost under the tucks: none is published, so none is reckoned, but a range is said."""
    lost = request.reference.rule("tucked_12.shortening")
    low, high = lost.bounds
    request.notices.assume(
        f"body lost under the tucks {lost.value:g} d ({low:g} to {high:g})", lost.source
    )
    diameter_mm = request.rope.diameter_mm
    return Length(lost.value * diameter_mm, low * diameter_mm, high * diameter_mm, lost.source)


def _tucks(request: EndRequest) -> Figures:
    """How the pairs are tucked, which is published, and how often, which is customary."""
    rule = request.reference.rule
    full, tapered = rule("tucked_12.full_rounds"), rule("tucked_12.tapered_rounds")
    request.notices.assume(
        f"{full.value:g} full rounds of tucks, then {tapered.value:g} tapered ones", full.source
    )
    return {
        "tuck_pairs": {
            "count": int(rule("tucked_12.pairs").value),
            "over": int(rule("tucked_12.over").value),
            "under": int(rule("tucked_12.under").value),
            "source": rule("tucked_12.pairs").source,
        },
        "tuck_rounds": {
            "full": int(full.value),
            "tapered": int(tapered.value),
            "source": full.source,
        },
    }


def _marks(request: EndRequest, tail_throat_mm: float, body_throat_mm: float) -> tuple[Mark, ...]:
    return tuple(
        Mark(
            id=request.mark_id(name),
            end=request.name,
            part="rope",
            name=name.replace("_", " "),
            measured_from="bitter_end",
            distance=Length(at_mm),
            fids=at_mm / request.rope.full_fid_mm,
            tolerance=None,
            shape="ring",
            picks=None,
            same_as=None,
            purpose=purpose,
        )
        for name, at_mm, purpose in (
            ("tail_throat", tail_throat_mm, "the strands are unlaid to here and seized"),
            ("body_throat", body_throat_mm, "where the tail throat comes to lie: first tucks"),
        )
    )


def _marking_steps(request: EndRequest, marks: tuple[Mark, ...]) -> tuple[Step, ...]:
    here, write = request.name, request.write.write
    at = " and ".join(f"the {mark.name} at {write(mark.distance.mm)}" for mark in marks)
    return (
        Step("mark", "prepare",
             f"End {here}: tape the bitter end tightly, so that both distances start from one "
             "clean edge.", here, tools=("tape",)),
        Step("mark", "mark",
             f"With the rope straight under {hand_tension(request)}, mark rings round the whole "
             f"rope from the bitter end: {at}.", here, tuple(mark.id for mark in marks),
             ("measuring tape", "marker")),
    )  # fmt: skip


def _tucking_steps(request: EndRequest) -> tuple[Step, ...]:
    here, rule = request.name, request.reference.rule
    tail_throat, body_throat = (request.mark_id(name) for name in ("tail_throat", "body_throat"))
    pairs, over, under, full, tapered = (
        f"{rule(f'tucked_12.{name}').value:g}"
        for name in ("pairs", "over", "under", "full_rounds", "tapered_rounds")
    )
    return (
        *eye_fittings.captive_steps(request),
        *eye_fittings.thimble_steps(request),
        Step("splice", "prepare",
             "Seize the tail throat tightly with twine. Take the tape off the bitter end, tape "
             "the tip of every one of the twelve strands, and unlay them back to the seizing "
             "without turning the twist out of them.", here, (tail_throat,),
             ("seizing twine", "strand tape")),
        Step("splice", "prepare",
             "Six strands are twisted to the left and six to the right. Tape each left one to "
             f"the right one beside it: {pairs} pairs.", here, tools=("strand tape",)),
        Step("splice", "pass",
             "Bring the tail throat against the body throat: this is the eye. Look that neither "
             f"leg is twisted. Tuck the nearest pair into the body there, over {over} strand and "
             f"under the next {under}, away from the eye. Go round the rope and tuck every "
             f"other pair likewise, each into the next line of the braid, until all {pairs} "
             "come out evenly round it. Draw each down snug, both of its strands alike: this is "
             "the first full round.", here, (tail_throat, body_throat), ("spike",)),
        Step("splice", "pass",
             f"Tuck every pair again, over {over} and under {under}, each along its own line, "
             f"one round after another until {full} full rounds are made. Draw each round down "
             "before the next.", here, tools=("spike",)),
        Step("splice", "cut_strands",
             f"Now {tapered} tapered rounds. For the first leave one strand out of every pair, "
             "left and right ones by turns, and tuck the others once more; for every further "
             "one leave out every second strand that is left. Cut what was left out only when "
             "the rounds are made and drawn down. Let every end stand out a little: never cut "
             "one flush with the rope.", here, tools=("spike", "knife"), caution=KNIFE),
        Step("splice", "smooth",
             "Take the seizing off the tail throat. Roll and beat the tucks down until they lie "
             "even, from the eye outward.", here, (tail_throat,)),
    )  # fmt: skip


FAMILY = Family(
    name="tucked_eye_12",
    title="an eye tucked strand by strand into 12-strand braid",
    ropes=("single_braid_12",),
    marks=("tail_throat", "body_throat"),
    sources=("merry_p_126", "common_practice_tucked_rounds", "assumption_tucked_12"),
    confidence="C",
    reads=("fid_length",),
    minimal_spec={
        "schema_version": "1.0",
        "rope": {
            "construction": "single_braid_12",
            "fibre": "polyester",
            "size": {"diameter": "12 mm"},
        },
        "ends": {
            "a": {
                "splice": "tucked_eye_12",
                "eye": {"form": "flat", "inside_length": "200 mm"},
            }
        },
    },
    plan_end=_plan,
)
