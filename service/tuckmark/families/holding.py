"""The hold ratio of a buried tail: explains how much friction alone would do, decides nothing."""

import math

from tuckmark.compare import below
from tuckmark.families.base import EndRequest
from tuckmark.families.bury import Buried, Layout
from tuckmark.mechanics import transfer
from tuckmark.plan import Figures, Length


def hold_figures(request: EndRequest, half_angle_rad: float | None, buried: Buried) -> Figures:
    """Hold ratio with its low value, and its warnings said.

    Args:
        half_angle_rad: half the included angle at the throat; None for a closed ring, 0 where
            two tails share the load in line, as the legs of a narrow eye do.

    The low value takes the lowest friction and, where the pitch is assumed, its longest.
    """
    rope, reference = request.rope, request.reference
    friction = reference.friction(rope.fibre)
    if friction is None:
        reason = "no figure for the friction of this fibre on itself is known"
        return {
            "ratio": None,
            "low": None,
            "critical_length": None,
            "assumed": (),
            "reasons": {"ratio": reason, "low": reason, "critical_length": reason},
        }
    if half_angle_rad is None:
        half_angle_rad = math.radians(reference.rule("eye.ring_half_angle").value)
    demand = transfer.transfer_demand(half_angle_rad)

    def ratio_of(layout: Layout, coefficient: float) -> float:
        pieces_d = [
            (piece.length_mm / rope.diameter_mm, over)
            for piece, over in zip(layout.tail, layout.braids, strict=True)
        ]
        return transfer.hold_ratio(transfer.transfer_capacity(pieces_d, coefficient), demand)

    least, most = friction.bounds
    ratio = ratio_of(buried.nominal, friction.value)
    low = ratio_of(buried.longest_pitch, least)
    assumed = f"friction on itself {friction.value:g} ({least:g} to {most:g})"
    request.notices.assume(assumed, friction.source)
    _say(request, ratio, low)
    full, diameter_mm = buried.nominal.braids[0], rope.diameter_mm
    critical_mm = transfer.critical_length_mm(
        full.mean_radius_mm * diameter_mm, full.angle_rad, friction.value
    )
    return {
        "ratio": ratio,
        "low": low,
        "critical_length": Length(critical_mm, source=friction.source),
        "assumed": (assumed,),
        "reasons": {},
        "source": request.reference.statement("hold.ratio").source,
    }


def _say(request: EndRequest, ratio: float, low: float) -> None:
    rule = request.reference.rule
    critical, reserve = rule("hold.critical"), rule("hold.reserve")
    if below(ratio, critical.value):
        code, limit = "hold_below_critical", critical
    elif below(low, critical.value):
        code, limit = "hold_relies_on_average_friction", critical
    elif below(ratio, reserve.value):
        code, limit = "hold_little_reserve", reserve
    else:
        return
    request.notices.add(
        code,
        request.pointer,
        value=ratio,
        limit=limit.value,
        source=limit.source,
        low=f"{low:.2f}",
    )
