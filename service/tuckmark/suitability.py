"""Which splice fits which rope, and why not: refused before anything is laid out."""

from collections.abc import Mapping
from typing import Final

from tuckmark import spec
from tuckmark.families.base import Family
from tuckmark.faults import Fault

_NATURAL: Final = ("manila", "sisal", "hemp", "cotton")
_CONSTRUCTIONS: Final = {
    "single_braid_12": "a 12-strand single braid",
    "double_braid": "a double braid",
    "core_dependent_double_braid": "a core-dependent double braid",
    "plaited_8": "an 8-strand plait",
    "laid_3": "3-strand laid rope",
    "laid_4": "4-strand laid rope",
    "parallel_core": "a parallel-core rope",
}


def refused_use(use: spec.Use) -> tuple[Fault, ...]:
    """Duties for which no plan is made at all."""
    return (_PERSONS,) if use.duty == "persons" else ()


def unsuited(asked: spec.Spec, families: Mapping[str, Family]) -> tuple[Fault, ...]:
    """Every reason why no plan may be made for this pairing of rope and splices."""
    faults: list[Fault] = []
    splices = splices_of(asked)
    if asked.rope.construction == "parallel_core":
        faults.append(_PARALLEL_CORE)
        splices = {}
    elif not splices:
        faults.append(_BOTH_PLAIN)
    fitting = {}
    for pointer, splice in splices.items():
        if asked.rope.construction in families[splice].ropes:
            fitting[pointer] = splice
        else:
            faults.append(_wrong_pairing(pointer, splice, asked.rope, families))
    if fitting and asked.rope.construction == "single_braid_12" and asked.rope.fibre in _NATURAL:
        faults.append(_natural_hollow_braid(asked.rope.fibre))
    if "interlocked_eye" in fitting.values() and asked.rope.far_end == "closed":
        faults += _far_ends_closed(asked.ends)
    if asked.join:
        faults += _unequal_ropes(asked.join, asked.rope)
    return tuple(faults)


def splices_of(asked: spec.Spec) -> dict[str, str]:
    """The splices asked for by where they stand in the document; plain ends are none."""
    if asked.join:
        return {"/join": asked.join.splice}
    if asked.ends is None:
        raise ValueError("the schema lets no spec pass without ends or join")
    pairs = {asked.ends.pointer("a"): asked.ends.a, asked.ends.pointer("b"): asked.ends.b}
    return {pointer: end.splice for pointer, end in pairs.items() if end.splice != "plain"}


def _unequal_ropes(join: spec.Join, rope: spec.Rope) -> list[Fault]:
    faults = []
    for index, one in enumerate(join.ropes):
        if one.construction not in (None, rope.construction):
            faults.append(
                Fault(
                    f"/join/ropes/{index}/construction",
                    "unequal_constructions",
                    "Ropes of unequal construction are not joined by splicing one into the other.",
                    allowed=rope.construction,
                    given=one.construction,
                    hint="Give each rope an eye and connect the eyes.",
                )
            )
    lays = {one.lay or rope.lay for one in join.ropes} - {None}
    if len(lays) > 1:
        faults.append(
            Fault(
                "/join/ropes",
                "left_lay_to_right_lay",
                "Left lay is never joined to right lay: under load each unlays the other.",
                hint="Join ropes of the same lay, or give each an eye and connect them with "
                "hardware that a competent person chooses.",
            )
        )
    return faults


def _wrong_pairing(
    pointer: str, splice: str, rope: spec.Rope, families: Mapping[str, Family]
) -> Fault:
    known = [family for family in families.values() if rope.construction in family.ropes]
    at_end = tuple(family.name for family in known if family.plan_end and family.name != "plain")
    as_join = tuple(family.name for family in known if family.plan_join)
    here, elsewhere = (as_join, at_end) if pointer == "/join" else (at_end, as_join)
    takes = " or ".join(_CONSTRUCTIONS[name] for name in families[splice].ropes)
    return Fault(
        f"{pointer}/splice",
        "wrong_splice_for_rope",
        f"A {splice.replace('_', ' ')} is made in {takes}, not in "
        f"{_CONSTRUCTIONS[rope.construction]}.",
        allowed=here,
        given=splice,
        hint=_instead(here, elsewhere, joining=pointer == "/join"),
    )


def _instead(here: tuple[str, ...], elsewhere: tuple[str, ...], *, joining: bool) -> str:
    """Which splices this rope takes, in this place and in the other one."""
    if not here and not elsewhere:
        return "No splice for this rope is planned here; follow the rope maker's instruction."
    place, other = ("to join two ropes", "at an end") if joining else ("at an end", "as a join")
    said = f"For this rope, {place}: {', '.join(here) or 'none'}."
    return f"{said} {other.capitalize()}: {', '.join(elsewhere)}." if elsewhere else said


def _far_ends_closed(ends: spec.Ends | None) -> list[Fault]:
    if ends is None or "plain" in (ends.a.splice, ends.b.splice):
        return []
    return [
        Fault(
            "/rope/far_end",
            "far_ends_closed",
            "Both ends are to be spliced, yet the far end is given as closed: seen from one end "
            "the other is still free.",
            allowed="free, or leave it out",
            given="closed",
            hint="Leave out rope.far_end: end a is made first with its far end free, end b after "
            "it by the way for a closed far end.",
        )
    ]


def _natural_hollow_braid(fibre: str) -> Fault:
    return Fault(
        "/rope/fibre",
        "no_rule_for_natural_braid",
        f"There is no published bury length for a hollow braid of {fibre}; none is guessed.",
        allowed="a synthetic fibre",
        given=fibre,
        hint="Ask the rope maker for a termination that is proven for this rope.",
    )


_PERSONS: Final = Fault(
    "/use/duty",
    "persons_refused",
    "Plans are not made for lifting or supporting people: that takes certified equipment, its "
    "maker's instruction and a competent person.",
    given="persons",
    hint="Use equipment certified for people.",
)
_PARALLEL_CORE: Final = Fault(
    "/rope/construction",
    "parallel_core_has_no_splice",
    "The load of a parallel-core rope is carried by straight parallel strands under a cover that "
    "carries none; burying or tucking them gives no grip that is published.",
    given="parallel_core",
    hint="Use the termination that the rope's maker prescribes.",
)
_BOTH_PLAIN: Final = Fault(
    "/ends",
    "both_ends_plain",
    "Both ends are plain: there is no splice to plan.",
    hint="Give at least one end a splice.",
)
