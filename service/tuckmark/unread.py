"""What a spec gives that its plan does not depend on: nothing is dropped without saying so."""

from collections.abc import Iterator, Mapping

from tuckmark import spec
from tuckmark.families.base import Family
from tuckmark.identify import LAID, WITH_CORE, Rope
from tuckmark.plan import Lengths
from tuckmark.suitability import splices_of


def unread(
    asked: spec.Spec, families: Mapping[str, Family], known: Rope, lengths: Lengths
) -> Iterator[tuple[str, str]]:
    """What is given, but nothing in the plan depends on: where it stands, and its name."""
    for fact in _unread_of_rope(asked, families, known, lengths):
        yield f"/rope/{fact}", fact.replace("_", " ")
    if asked.length is not None:
        for fact in _unread_of_length(asked.length, asked, lengths):
            yield f"/length/{fact}", f"{fact} of the length"
    if asked.join is not None:
        yield from _unread_of_join(asked.join, known)


def facts_read(asked: spec.Spec, families: Mapping[str, Family]) -> frozenset[str]:
    """Facts of the rope that one of the splices asked for depends on."""
    return frozenset(
        fact for splice in splices_of(asked).values() for fact in families[splice].reads
    )


def _unread_of_rope(
    asked: spec.Spec, families: Mapping[str, Family], known: Rope, lengths: Lengths
) -> tuple[str, ...]:
    rope = asked.rope
    given = {
        "fid_length": rope.fid_length_mm is not None,
        "pitch": rope.pitch is not None,
        "lay_length": rope.lay_length_mm is not None,
        "lay": rope.lay is not None,
        "core_fibre": rope.core_fibre is not None,
        "core_diameter": rope.core_diameter_mm is not None,
        "bury_shortening": rope.bury_shortening is not None,
        "coating": rope.coating != "unknown",
        "far_end": rope.far_end != "free",
        "bedding_in": rope.bedding_in is not None,
        "linear_density": rope.linear_density_kg_per_m is not None,
    }
    read = set(facts_read(asked, families))
    if lengths.finished is not None:
        read |= {"bedding_in", "linear_density"}
    return tuple(
        name
        for name, is_given in given.items()
        if is_given and not (name in read and _applies(name, known))
    )


def _unread_of_length(
    length: spec.TargetLength, asked: spec.Spec, lengths: Lengths
) -> Iterator[str]:
    reckoned = lengths.finished is not None
    eyes = asked.ends is not None and (asked.ends.a.eye or asked.ends.b.eye)
    if length.between != "bearing_points" and not (reckoned and eyes):
        yield "between"
    if length.state != "as_spliced" and not reckoned:
        yield "state"
    if length.tolerance_mm is not None and not reckoned:
        yield "tolerance"


def _unread_of_join(join: spec.Join, known: Rope) -> Iterator[tuple[str, str]]:
    if join.measured and join.circumference is None:
        yield "/join/measured", "line that the loop is measured on"
    for n, rope in enumerate(join.ropes):
        if rope.lay and known.construction not in LAID:
            yield f"/join/ropes/{n}/lay", "lay of this rope"


def _applies(fact: str, rope: Rope) -> bool:
    """Whether a splice that reads a fact of some ropes does so of this one."""
    match fact:
        case "lay" | "lay_length":
            return rope.construction in LAID
        case "fid_length":
            return rope.construction not in LAID
        case "core_fibre" | "core_diameter":
            return rope.construction in WITH_CORE
        case "coating":
            return rope.high_modulus or rope.construction in WITH_CORE
    return True
