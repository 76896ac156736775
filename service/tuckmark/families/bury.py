"""A tail buried in its own body: where everything lies, for eyes locked and straight.

One layout is pure geometry at one reading of the assumptions; the plan lays the
end out at the assumed value and at each end of its range.
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from itertools import product
from typing import Final

from tuckmark.families.base import EndRequest
from tuckmark.faults import Fault, Refused
from tuckmark.identify import GIVEN
from tuckmark.mechanics import braid, taper
from tuckmark.mechanics.errors import InfeasibleError
from tuckmark.plan import Figures, Length, spread
from tuckmark.spec import Lock

_LONGER_THAN_TAIL: Final = "taper_longer_than_buried_tail"


@dataclass(frozen=True, slots=True)
class Assumed:
    """One reading of what is not measured."""

    pitch_mm: float
    lock_allowance_d: float


@dataclass(frozen=True, slots=True)
class Layout:
    """Where everything lies along the unworked rope, from the end's own bitter end.

    Attributes:
        positions_mm: mark name -> distance, in the order the marks are described.
        pieces: the buried tail from throat to tip: length and the braid opened over it.
    """

    bury_mm: float
    buried_mm: float
    shortening_mm: float
    positions_mm: dict[str, float]
    taper: tuple[taper.TaperStep, ...]
    pieces: tuple[tuple[float, braid.OpenedBraid], ...]


@dataclass(frozen=True, slots=True)
class Buried:
    """The end laid out at every reading of the assumptions.

    Attributes:
        nominal: at the assumed values.
        others: at the ends of their ranges; empty when everything was measured.
        longest_pitch: as nominal, at the longest pitch that was assumed.
    """

    nominal: Layout
    others: tuple[Layout, ...]
    longest_pitch: Layout

    def spread(self, figure: Callable[[Layout], float], source: str | None = None) -> Length:
        """One figure with its range."""
        return spread(figure(self.nominal), [figure(other) for other in self.others], source)


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
    """The end at the assumed values and at the ends of their ranges.

    Args:
        between_throats_mm: rope from the tail throat to the body throat: the eye's perimeter,
            with what an interlock takes up; 0 for a join.
        pitch: with its range, where it is assumed.
        lock: the picks of the lock; None for a straight bury.

    Raises:
        Refused: ``taper_longer_than_buried_tail``, ``bury_shorter_than_lock``, ``braid_jammed``,
            ``taper_leaves_no_strand``.
    """
    allowance = request.reference.rule("lock.allowance")
    pitches = [mm for mm in (pitch.low_mm, pitch.high_mm) if mm is not None]
    allowances = [d for d in (allowance.low, allowance.high) if d is not None] if lock else []
    nominal = Assumed(pitch.mm, allowance.value)
    corners = [
        Assumed(pitch_mm, allowance_d)
        for pitch_mm, allowance_d in product(
            pitches or [nominal.pitch_mm], allowances or [nominal.lock_allowance_d]
        )
    ]

    @cache  # readings that share a pitch share its braids
    def opened(pitch_mm: float, strands: int) -> braid.OpenedBraid:
        return _opened(request, pitch_mm, strands)

    def laid_out(assumed: Assumed) -> Layout:
        return _layout(request, between_throats_mm, assumed, lock, opened)

    laid = laid_out(nominal)
    others = tuple(laid_out(corner) for corner in corners if corner != nominal)
    if pitch.high_mm is None:
        return Buried(laid, others, laid)
    return Buried(laid, others, laid_out(Assumed(pitch.high_mm, allowance.value)))


def taper_figures(request: EndRequest, buried: Buried) -> Figures:
    """The taper as the plan prints it: where the tail's pairs are cut, from the bitter end."""
    asked = request.end.taper
    cuts = [
        {
            "picks": step.picks,
            "at": buried.spread(lambda layout, n=n: layout.taper[n].at_mm),  # type: ignore[misc] # mypy cannot type a lambda's default
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


def _layout(
    request: EndRequest,
    between_throats_mm: float,
    assumed: Assumed,
    lock: Lock | None,
    opened: Callable[[float, int], braid.OpenedBraid],
) -> Layout:
    rope = request.rope
    pick_mm = rope.pick_mm(assumed.pitch_mm)
    lock_mm = 0.0
    if lock:
        lock_mm = sum(lock.picks) * pick_mm + assumed.lock_allowance_d * rope.diameter_mm
    bury_mm = bury_length_mm(request, lock_mm)
    buried_mm = bury_mm - lock_mm
    if buried_mm <= 0:
        raise Refused((_all_in_the_lock(request, bury_mm, lock_mm),))
    steps = _taper(request, pick_mm)
    pieces = tuple(
        (piece.length_mm, opened(assumed.pitch_mm, piece.strands))
        for piece in _pieces(request, buried_mm, steps)
    )
    shortening_mm = sum(braid.lost_mm(mm, opened.shortening) for mm, opened in pieces)
    if rope.bury_shortening is not None:
        shortening_mm = rope.bury_shortening * buried_mm
    body_throat_mm = bury_mm + between_throats_mm
    to_return, to_entry = lock.picks if lock else (0, 0)
    entry_mm = body_throat_mm + (to_return + to_entry) * pick_mm
    exit_ratio = request.reference.rule(f"tool_exit.{rope.load_class}").value
    positions = {"tail_throat": bury_mm, "body_throat": body_throat_mm}
    if lock:
        positions["lock_return"] = body_throat_mm + to_return * pick_mm
    positions |= {
        "bury_entry": entry_mm,
        "tip_rest": entry_mm + buried_mm + shortening_mm,
        "tail_exit": entry_mm + exit_ratio * buried_mm,
    }
    return Layout(bury_mm, buried_mm, shortening_mm, positions, steps, pieces)


def bury_length_mm(request: EndRequest, lock_mm: float) -> float:
    """Bitter end to tail throat: as the spec gives it, else by the rule for this rope.

    Args:
        lock_mm: tail used by the lock, which the default for standard fibres adds.
    """
    end, rope = request.end, request.rope
    if end.bury_mm is not None:
        return end.bury_mm
    if end.bury_fids is not None:
        return end.bury_fids * rope.full_fid_mm
    if end.bury_diameters is not None:
        return end.bury_diameters * rope.diameter_mm
    return default_bury_mm(request, lock_mm)


def default_bury_mm(request: EndRequest, lock_mm: float) -> float:
    """The bury when the spec gives none.

    Standard fibres: two full fids, plus what the lock uses. High modulus: straight, the
    published multiple of the diameter by coating and never under the least length; locked,
    three full fids.
    """
    rope, rule = request.rope, request.reference.rule
    if not rope.high_modulus:
        return rule("bury.standard.default").value * rope.full_fid_mm + lock_mm
    if lock_mm:
        return rule("bury.locked.high_modulus").value * rope.full_fid_mm
    return max(straight_rule_d(request) * rope.diameter_mm, rule("bury.high_modulus.least").value)


def bury_source(request: EndRequest, *, locked: bool) -> str:
    """Where the bury comes from: the spec, or the rule for this rope."""
    end, rule = request.end, request.reference.rule
    if any(given is not None for given in (end.bury_mm, end.bury_fids, end.bury_diameters)):
        return GIVEN
    if not request.rope.high_modulus:
        return rule("bury.standard.default").source
    if locked:
        return rule("bury.locked.high_modulus").source
    uncoated = request.rope.coating == "uncoated"
    return rule(f"bury.high_modulus.{'uncoated' if uncoated else 'default'}").source


def straight_rule_d(request: EndRequest) -> float:
    """The published straight bury of high-modulus rope in diameters, by its coating."""
    uncoated = request.rope.coating == "uncoated"
    return request.reference.rule(
        "bury.high_modulus.uncoated" if uncoated else "bury.high_modulus.default"
    ).value


def _taper(request: EndRequest, pick_mm: float) -> tuple[taper.TaperStep, ...]:
    strands = request.rope.strands or 0
    spec = request.end.taper
    pattern = spec.pattern if spec else request.reference.taper_pattern("default").picks
    if spec and spec.measured_by == "fid":
        return taper.taper_by_length(pattern, request.rope.full_fid_mm, strands)
    return taper.taper_by_picks(pattern, pick_mm, strands)


def _pieces(
    request: EndRequest, buried_mm: float, steps: tuple[taper.TaperStep, ...]
) -> tuple[taper.TailPiece, ...]:
    try:
        return taper.tail_pieces(buried_mm, steps, request.rope.strands or 0)
    except InfeasibleError as error:
        raise request.refuse(
            error,
            "",
            f"at least {request.write.write_up(error.value)} of buried tail",
            "Bury more, or give a shorter taper pattern; where the pitch is assumed, measure it.",
        ) from error


def _opened(request: EndRequest, pitch_mm: float, strands: int) -> braid.OpenedBraid:
    rope = request.rope
    jammed = request.reference.rule("braid.jammed_sine").value
    try:
        return braid.opened_braid(
            rope.diameter_mm, pitch_mm, strands, rope.strands or 0, jammed_sine=jammed
        )
    except InfeasibleError as error:
        raise Refused(
            (
                Fault(
                    "/rope/pitch",
                    error.code,
                    "The braid is too steep to open over a tail of its own rope: it would jam.",
                    allowed=f"sine of the strand angle up to {error.limit:g}",
                    hint="Measure the pitch under hand tension: ten picks, six picks to a turn.",
                ),
            )
        ) from error


def _all_in_the_lock(request: EndRequest, bury_mm: float, lock_mm: float) -> Fault:
    write = request.write.write
    return Fault(
        request.pointer,
        "bury_shorter_than_lock",
        f"The lock alone uses {write(lock_mm)} of tail; a bury of {write(bury_mm)} leaves nothing "
        "to bury.",
        allowed=f"more than {write(lock_mm)}",
        hint="Leave the bury out to get the rule for this rope.",
    )
