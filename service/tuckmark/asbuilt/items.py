"""What of a plan can be measured on the finished piece, and the limits it is held to.

A limit is the spec's own tolerance or a published rule of the trade, and never anything else:
where there is none, nothing is decided.
"""

from collections.abc import Iterator, Mapping
from typing import Final, Literal

from msgspec import Struct
from msgspec.structs import replace

from tuckmark import identify, lengths, notices, spec
from tuckmark.asbuilt.measured import State
from tuckmark.families.base import EndRequest, JoinRequest
from tuckmark.figure_tree import count_in, length_in
from tuckmark.pipeline import Made, Pipeline
from tuckmark.plan import GIVEN, Figures, Length
from tuckmark.spec import EndName

_BETWEEN: Final = {
    "bearing_points": "finished length between bearing points",
    "pin_centres": "finished length between pin centres",
    "throats": "finished length from throat to throat",
    "ends_of_the_joined_rope": "length of the joined rope from end to end",
    "centre_line_of_the_loop": "circumference of the loop along its centre line",
}
_LAID_FLAT: Final = "inside length of the loop laid flat"
_STATES: Final = {"as_spliced": "as spliced", "after_setting": "after setting"}
#: tails that are thinned and tucked on may be cut close: no rule says how long they stand
_TAILS_STAND: Final = ("none", "strands")


class Limit(Struct, frozen=True):
    """What a figure is held to: so far off either way, or at least so much.

    Attributes:
        value: in mm, or a count.
    """

    kind: Literal["plus_minus", "at_least"]
    value: float
    source: str


class Item(Struct, frozen=True):
    """One thing of the plan that can be measured.

    Attributes:
        what: its key, such as ``a.buried``.
        part: what kind of thing it is, such as ``buried``.
        pointer: where in a request its measurement belongs.
        planned: a length, or a count.
        limit: None where neither the spec nor a rule gives one.
        floor: under ``limit`` but not under this, a competent person decides.
        advised: what the plan's own advice wants; only to be named.
        undecidable: why the limit cannot be applied to this measurement.
        needed: whether a pass needs it; not where nothing it could be held to can be given.
    """

    what: str
    part: str
    name: str
    pointer: str
    planned: Length | int
    limit: Limit | None
    floor: Limit | None = None
    advised: Limit | None = None
    undecidable: str | None = None
    needed: bool = True


def items_of(made: Made, state: State | None, pipeline: Pipeline) -> list[Item]:
    """Everything of a plan that can be measured, in the order of a record.

    Args:
        made: the plan.
        state: in which the finished length was measured; the spec's own where it was not.
        pipeline: tables and families.
    """
    found = []
    finished = _finished(made, state or made.plan.lengths.state)
    if finished is not None:
        found.append(finished)
    for name, figures in _spliced(made).items():
        found += _end_items(name, figures, _Bench(made, pipeline))
    found.append(_diameter(made))
    return found


def has_state(made: Made, state: State | None) -> bool:
    """Whether the plan says how long the piece is in a state."""
    return state != "after_setting" or made.plan.lengths.after_setting is not None


class _Bench(Struct, frozen=True):
    """What every item of one end looks at."""

    made: Made
    pipeline: Pipeline

    def request(self, name: EndName) -> EndRequest:
        """The end as its family was asked for it."""
        asked, reference = self.made.asked, self.pipeline.reference
        said = notices.Notices(self.made.write)
        rope = identify.identify(asked.rope, reference, said)
        if asked.join is not None:
            write = self.made.write
            return JoinRequest(asked.join, rope, asked.use, reference, said, write).side(name)
        ends = asked.ends
        if ends is None:
            raise ValueError("the schema lets no spec pass without ends or join")
        end = ends.a if name == "a" else ends.b
        return EndRequest(
            name, ends.pointer(name), end, rope, asked.use, reference, said, self.made.write
        )


def _spliced(made: Made) -> Mapping[EndName, Figures]:
    """The figures of each end; of a join the same at both."""
    if made.plan.join is not None:
        return {"a": made.plan.join, "b": made.plan.join}
    return made.plan.ends or {}


def _finished(made: Made, state: str) -> Item | None:
    found = made.plan.lengths
    planned = found.after_setting if state == "after_setting" else found.as_spliced
    if planned is None:
        return None
    name, tolerance_mm = _BETWEEN[found.between], None
    length, join = made.asked.length, made.asked.join
    if length is not None:
        tolerance_mm = length.tolerance_mm
    if join is not None and join.circumference is not None:
        tolerance_mm = join.circumference.tolerance_mm
        if join.measured == "laid_flat_inside":
            name = _LAID_FLAT
            planned = lengths.laid_flat_inside(planned, made.plan.rope.diameter)
    return Item(
        what="finished",
        part="finished",
        name=f"{name}, {_STATES[state]}",
        pointer="/measured/finished",
        planned=planned,
        limit=_tolerance(tolerance_mm),
        undecidable=_other_state(made, state),
    )


def _other_state(made: Made, state: str) -> str | None:
    """A length in the state that was not asked for rests on the bedding-in."""
    found = made.plan.lengths
    if state == found.state or found.after_setting is None or found.after_setting.source == GIVEN:
        return None
    return (
        f"The tolerance holds {_STATES[found.state]}; the plan's figure {_STATES[state]} rests on "
        "an assumed bedding-in"
    )


def _end_items(name: EndName, figures: Figures, bench: _Bench) -> Iterator[Item]:
    def item(part: str, words: str, planned: Length | int, limit: Limit | None) -> Item:
        pointer = f"/measured/ends/{name}/{part}"
        return Item(f"{name}.{part}", part, f"{words}, end {name}", pointer, planned, limit)

    eye = figures.get("eye")
    if isinstance(eye, Mapping):
        tolerance_mm = _eye_tolerance_mm(name, bench.made.asked.ends)
        planned = length_in(eye, "inside_length")
        yield item("inside_length", "inside length of the eye", planned, _tolerance(tolerance_mm))
    if "buried" in figures:
        found = item("buried", "buried tail", length_in(figures, "buried"), None)
        yield _with_bury_limits(found, name, figures, bench)
    rounds = figures.get("tuck_rounds")
    if isinstance(rounds, Mapping):
        found = item("tucks", "full tucks of every strand", count_in(rounds, "full"), None)
        yield _with_tuck_limits(found, rounds)
        if "tail" in figures and rounds.get("thinning", "none") in _TAILS_STAND:
            tail = length_in(figures, "tail")
            limit = Limit("at_least", tail.mm, tail.source or GIVEN)
            yield item("tail", "strand left past the last full tuck", tail, limit)
    if any(mark.id == f"{name}.stitch_start" for mark in bench.made.plan.marks):
        length, spacing = (
            bench.pipeline.reference.rule(f"stitch.{rule}") for rule in ("length", "spacing")
        )
        least = Limit("at_least", round(length.bounds[0] / spacing.value), length.source)
        planned_stitches = round(length.value / spacing.value)
        yield item("stitches", "cross-stitches at the throat", planned_stitches, least)


def _eye_tolerance_mm(name: EndName, ends: spec.Ends | None) -> float | None:
    if ends is None:
        return None
    eye = (ends.a if name == "a" else ends.b).eye
    return eye.inside_length.tolerance_mm if eye and eye.inside_length else None


def _with_bury_limits(item: Item, name: EndName, figures: Figures, bench: _Bench) -> Item:
    rules = bench.pipeline.families[str(figures["splice"])].bury_limits
    if rules is None:
        return replace(item, needed=False)
    limits = rules(bench.request(name), figures)
    limit, floor = (
        Limit("at_least", length.mm, length.source or GIVEN)
        for length in (limits.least, limits.floor)
    )
    return replace(item, limit=limit, floor=floor)


def _with_tuck_limits(item: Item, rounds: Figures) -> Item:
    """The published least; custom where nothing is published, which its source says."""
    advised = rounds.get("advised")
    least = rounds.get("least")
    wanted = None
    if isinstance(advised, Mapping):
        wanted = Limit("at_least", count_in(advised, "from"), str(advised["source"]))
    if isinstance(least, Mapping):
        limit = Limit("at_least", count_in(least, "full"), str(least["source"]))
    else:
        limit = wanted or Limit("at_least", count_in(rounds, "full"), str(rounds["source"]))
    return replace(item, limit=limit, advised=wanted)


def _diameter(made: Made) -> Item:
    given = made.asked.rope.size.diameter
    limit = _tolerance(given.tolerance_mm if given else None)
    return Item(
        what="diameter",
        part="diameter",
        name="diameter of the rope",
        pointer="/measured/diameter",
        planned=made.plan.rope.diameter,
        limit=limit,
        needed=limit is not None,
    )


def _tolerance(mm: float | None) -> Limit | None:
    return None if mm is None else Limit("plus_minus", mm, GIVEN)
