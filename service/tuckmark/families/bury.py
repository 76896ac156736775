"""A tail buried in its own body: where everything lies, for eyes locked and straight.

One layout is pure geometry at one reading of the facts; the plan lays the end out
at the nominal facts and with each uncertain one at the ends of its range.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache, partial
from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from tuckmark.families.base import EndRequest
from tuckmark.families.bury_length import (
    bury_length_mm,
    bury_source,
    default_bury_mm,
    given_bury_at,
)
from tuckmark.faults import Fault, Refused
from tuckmark.mechanics import braid, taper
from tuckmark.mechanics.braid import OpenedBraid
from tuckmark.mechanics.errors import InfeasibleError
from tuckmark.mechanics.taper import TailPiece, TaperStep
from tuckmark.plan import GIVEN, Figures, Length, uncertain
from tuckmark.spec import Lock

_OTHERWISE_PLANNED: Final = (
    "Leave the bury out to get the rule for this rope; if none was given, check fid_length, pitch "
    "and taper, and their units."
)
#: the rule judges the nominal braid; a range goes on as far as the formula has one solution
_RANGE_SINE: Final = 0.8
#: how a braid opens depends on its pitch in diameters alone: so it is opened at a diameter of
#: 1 mm, and readings, ends and ropes of all sizes share what comes out
_shared_braids: Final = lru_cache(maxsize=256)(partial(braid.opened_braids, 1.0))


class Reading(Struct, frozen=True):
    """The facts that decide where the tail comes to lie, at one value of each."""

    diameter_mm: float
    pitch_mm: float
    lock_allowance_d: float

    @property
    def pitch_d(self) -> float:
        """What decides how the braid opens: its pitch in diameters."""
        return self.pitch_mm / self.diameter_mm


class Layout(Struct, frozen=True):
    """Where everything lies along the unworked rope, from the end's own bitter end.

    Attributes:
        positions_mm: mark name -> distance, in the order the marks are described.
        tail: pieces of the buried tail, from throat to tip.
        braids: the body opened over each piece, as it is of rope 1 mm thick.
    """

    bury_mm: float
    buried_mm: float
    shortening_mm: float
    positions_mm: dict[str, float]
    taper: tuple[TaperStep, ...]
    tail: tuple[TailPiece, ...]
    braids: tuple[OpenedBraid, ...]


class Buried(Struct, frozen=True):
    """The end laid out by its instructions, at the nominal facts and at each one's range.

    Attributes:
        nominal: at the nominal value of every fact.
        moved: input -> the layout with it at its low end, and at its high end.
        longest_pitch: at the longest pitch that was assumed; nominal where it was measured.
    """

    nominal: Layout
    moved: Mapping[str, tuple[Layout, Layout]]
    longest_pitch: Layout

    def figure(self, figure: Callable[[Layout], float], source: str | None = None) -> Length:
        """One figure with its range and what moves it."""
        nominal = figure(self.nominal)
        effects = {}
        for name, (low, high) in self.moved.items():
            at_low, at_high = figure(low), figure(high)
            if at_low != nominal or at_high != nominal:
                effects[name] = (at_low - nominal, at_high - nominal)
        return uncertain(nominal, effects, source)

    def cut(self, n: int, source: str | None = None) -> Length:
        """Where the taper's pair n is cut, counted from 0 at the tip."""
        return self.figure(lambda layout: layout.taper[n].at_mm, source)

    def position(self, mark: str, source: str, further_mm: float = 0.0) -> Length:
        """Where a mark lies, or what lies further along the body from there."""
        return self.figure(lambda layout: layout.positions_mm[mark] + further_mm, source)


def measured_pitch(request: EndRequest) -> Length:
    """The pitch, measured or assumed with its range.

    Raises:
        Refused: ``pitch_needed``: none is given, and none may be assumed for the fibre.
    """
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


def lay_out(
    request: EndRequest, between_throats_mm: float, pitch: Length, lock: Lock | None
) -> Buried:
    """The end at the nominal facts, and with each uncertain one at the ends of its range.

    The instructions stay as they are, the bury and the rope between the throats; what lies
    where, and what is lost, follows from the facts.

    Args:
        between_throats_mm: rope from the tail throat to the body throat: the eye's perimeter,
            with what an interlock takes up; 0 for a join.
        pitch: with its range.
        lock: the picks of the lock; None for a straight bury.

    Raises:
        Refused: ``taper_longer_than_buried_tail``, ``bury_shorter_than_lock``, ``braid_jammed``,
            ``taper_leaves_no_strand``.
    """
    allowance = request.reference.rule("lock.allowance")
    nominal = Reading(request.rope.diameter_mm, pitch.mm, allowance.value)
    bury_mm = bury_length_mm(request, _lock_mm(request, nominal, lock))

    told = _Instructions(
        bury_mm,
        between_throats_mm,
        lock,
        nominal,
        request.reference.rule(f"tool_exit.{request.rope.load_class}").value,
        request.reference.rule("braid.jammed_sine").value,
    )

    def laid_out(reading: Reading) -> Layout:
        return _layout(request, told, reading)

    readings = _readings(request, nominal, pitch, lock)
    laid = laid_out(nominal)
    moved = {name: (laid_out(low), laid_out(high)) for name, (low, high) in readings.items()}
    assumed = pitch.source != GIVEN
    return Buried(laid, moved, moved["pitch"][1] if assumed and "pitch" in moved else laid)


def _readings(
    request: EndRequest, nominal: Reading, pitch: Length, lock: Lock | None
) -> dict[str, tuple[Reading, Reading]]:
    """Each uncertain fact at the low and at the high end of its range, the others nominal."""
    diameter_mm, pitch_mm, allowance_d = (
        nominal.diameter_mm,
        nominal.pitch_mm,
        nominal.lock_allowance_d,
    )
    found = {
        "diameter": [Reading(mm, pitch_mm, allowance_d) for mm in request.rope.diameter.bounds_mm],
        "pitch": [Reading(diameter_mm, mm, allowance_d) for mm in pitch.bounds_mm],
    }
    if lock:
        allowances = request.reference.rule("lock.allowance").bounds
        found["lock_allowance"] = [Reading(diameter_mm, pitch_mm, d) for d in allowances]
    return {name: (low, high) for name, (low, high) in found.items() if low != high}


def say_customary(request: EndRequest, buried: Buried, *, locked: bool) -> None:
    """Note as assumptions the bury and the taper that only common practice gives."""
    key = bury_source(request, locked=locked)
    if key != GIVEN and request.reference.sources[key].confidence == "C":
        bury = request.write.write(buried.nominal.bury_mm)
        request.notices.assume(f"bury {bury} by common practice", key)
    pattern = request.reference.taper_pattern("default")
    if request.end.taper is None and pattern.confidence == "C":
        picks = ", ".join(map(str, pattern.picks))
        request.notices.assume(f"taper of {picks} picks by common practice", pattern.source)


def taper_figures(request: EndRequest, buried: Buried) -> Figures:
    """The taper as the plan prints it: where the tail's pairs are cut, from the bitter end."""
    asked = request.end.taper
    cuts = [
        {
            "picks": step.picks,
            "at": buried.cut(n),
            "strands_cut": step.strands_cut,
            "strands_left": step.strands_left,
        }
        for n, step in enumerate(buried.nominal.taper)
    ]
    return {
        "steps": cuts,
        "length": cuts[-1]["at"],
        "measured_by": asked.measured_by if asked else "picks",
        "source": GIVEN if asked else request.reference.taper_pattern("default").source,
    }


def _lock_mm(request: EndRequest, reading: Reading, lock: Lock | None) -> float:
    """Tail that a lock uses."""
    if lock is None:
        return 0.0
    picks_mm = sum(lock.picks) * request.rope.pick_mm(reading.pitch_mm)
    return picks_mm + reading.lock_allowance_d * reading.diameter_mm


class _Instructions(Struct, frozen=True):
    """What stays as it is whatever the facts are."""

    bury_mm: float
    between_throats_mm: float
    lock: Lock | None
    nominal: Reading
    exit_ratio: float
    jammed_sine: float


def _layout(request: EndRequest, told: _Instructions, reading: Reading) -> Layout:
    rope, lock, bury_mm = request.rope, told.lock, told.bury_mm
    pick_mm = rope.pick_mm(reading.pitch_mm)
    lock_mm = _lock_mm(request, reading, lock)
    buried_mm = bury_mm - lock_mm
    if buried_mm <= 0:
        raise Refused((_all_in_the_lock(request, bury_mm, lock_mm),))
    steps = _taper(request, pick_mm)
    is_nominal = reading.pitch_d == told.nominal.pitch_d
    steepest = told.jammed_sine if is_nominal else _RANGE_SINE
    tail = _pieces(request, buried_mm, lock_mm, steps, nominal=reading == told.nominal)
    braids = _opened(request, reading, tuple([piece.strands for piece in tail]), steepest)
    if rope.bury_shortening is None:
        shortening_mm = sum(
            [
                braid.lost_mm(piece.length_mm, over.shortening)
                for piece, over in zip(tail, braids, strict=True)
            ]
        )
    else:
        shortening_mm = rope.bury_shortening * buried_mm
    body_throat_mm = bury_mm + told.between_throats_mm
    to_return, to_entry = lock.picks if lock else (0, 0)
    entry_mm = body_throat_mm + (to_return + to_entry) * pick_mm
    positions = {"tail_throat": bury_mm, "body_throat": body_throat_mm}
    if lock:
        positions["lock_return"] = body_throat_mm + to_return * pick_mm
    positions |= {
        "bury_entry": entry_mm,
        "tip_rest": entry_mm + buried_mm + shortening_mm,
        "tail_exit": entry_mm + told.exit_ratio * buried_mm,
    }
    return Layout(bury_mm, buried_mm, shortening_mm, positions, steps, tail, braids)


def _taper(request: EndRequest, pick_mm: float) -> tuple[TaperStep, ...]:
    strands = request.rope.strand_count
    spec = request.end.taper
    pattern = spec.pattern if spec else request.reference.taper_pattern("default").picks
    if spec and spec.measured_by == "fid":
        return taper.taper_by_length(pattern, request.rope.full_fid_mm, strands)
    return taper.taper_by_picks(pattern, pick_mm, strands)


def _pieces(
    request: EndRequest,
    buried_mm: float,
    lock_mm: float,
    steps: tuple[TaperStep, ...],
    *,
    nominal: bool,
) -> tuple[TailPiece, ...]:
    longest_mm = steps[-1].at_mm
    if longest_mm > buried_mm and not nominal:
        # the rule judges the nominal taper; at the end of a range it just fills the tail
        steps = tuple(replace(step, at_mm=step.at_mm / longest_mm * buried_mm) for step in steps)
    try:
        return taper.tail_pieces(buried_mm, steps, request.rope.strand_count)
    except InfeasibleError as error:
        least_mm = error.value + lock_mm
        raise request.refuse(
            error,
            given_bury_at(request),
            f"a bury of at least {request.write.write_up(least_mm)} to be planned at all; the "
            f"rule for this rope is {request.write.write(default_bury_mm(request, lock_mm))}",
            _OTHERWISE_PLANNED,
        ) from error


def _opened(
    request: EndRequest, reading: Reading, tails: tuple[int, ...], jammed_sine: float
) -> tuple[OpenedBraid, ...]:
    body_strands = request.rope.strand_count
    try:
        return _shared_braids(reading.pitch_d, tails, body_strands, jammed_sine=jammed_sine)
    except InfeasibleError as error:
        least_mm = braid.least_pitch_mm(reading.diameter_mm, body_strands, jammed_sine=jammed_sine)
        raise Refused(
            (
                Fault(
                    "/rope/pitch",
                    error.code,
                    "The braid is too steep to open over a tail of its own rope: it would jam.",
                    allowed=f"a pitch of at least {request.write.write_up(least_mm)}",
                    hint="Measure the pitch again under hand tension: ten picks, six picks to a "
                    "turn. If it is right, this rope is not spliced so.",
                ),
            )
        ) from error


def _all_in_the_lock(request: EndRequest, bury_mm: float, lock_mm: float) -> Fault:
    write = request.write.write
    return Fault(
        f"{request.pointer}{given_bury_at(request)}",
        "bury_shorter_than_lock",
        f"The lock alone uses {write(lock_mm)} of tail; a bury of {write(bury_mm)} leaves nothing "
        "to bury.",
        allowed=f"more than {write(lock_mm)}; the rule for this rope is "
        f"{write(default_bury_mm(request, lock_mm))}",
        hint=_OTHERWISE_PLANNED,
    )
