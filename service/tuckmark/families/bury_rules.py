"""The bury against the published lengths: this decides, the hold ratio only explains."""

from typing import Final

from msgspec import Struct
from msgspec.structs import replace

from tuckmark.compare import above
from tuckmark.families.base import BuryLimits, EndRequest
from tuckmark.families.bury import Layout, measured_pitch
from tuckmark.families.bury_length import given_bury_at, straight_rule_d
from tuckmark.figure_tree import length_in
from tuckmark.plan import Figures, Length
from tuckmark.reference import Figure
from tuckmark.writing import decimal_text

#: says that more is named elsewhere for another coating; no rule is broken
_NOT_A_RULE: Final = "coating_unknown"


class _Limit(Struct, frozen=True):
    """One rule: what is measured against it, and the least it allows.

    Attributes:
        lock_mm: of the bury that is marked, what is not in ``value_mm``.
    """

    code: str
    value_mm: float
    least_mm: float
    source: str
    lock_mm: float = 0.0

    @property
    def least(self) -> Length:
        """The least it allows, with where that comes from."""
        return Length(self.least_mm, source=self.source)

    def broken(self, request: EndRequest) -> bool:
        """Whether the bury that is marked is short of it, as both are printed."""
        marked_mm, wanted_mm = self.value_mm + self.lock_mm, self.least_mm + self.lock_mm
        return request.write.reads_less(marked_mm, wanted_mm)


def judge_bury(request: EndRequest, *, bury_mm: float, buried_mm: float, locked: bool) -> None:
    """Say what the published rules think of a bury: ``stop``, ``warn`` or ``info``.

    Args:
        bury_mm: bitter end to tail throat.
        buried_mm: what of it ends up inside the body.
    """
    for limit in _limits(request, bury_mm, buried_mm, locked=locked):
        if limit.broken(request):
            _add(request, limit)
            break
    if locked and request.rope.high_modulus:
        _describe_locked(request, bury_mm, buried_mm)


def spare_mm(request: EndRequest, layout: Layout, *, locked: bool) -> float | None:
    """How much shorter the bury may come out before a rule warns or stops that does not now.

    None where every rule is broken already.
    """
    spares = [
        max(0.0, limit.value_mm - limit.least_mm)
        for limit in _limits(request, layout.bury_mm, layout.buried_mm, locked=locked)
        if limit.code != _NOT_A_RULE and not limit.broken(request)
    ]
    return min(spares, default=None)


def compare_taper(request: EndRequest, layout: Layout) -> None:
    """Two published tapers, by picks and by one fid: say so where they disagree much."""
    if request.end.taper is not None:
        return
    share = request.reference.rule("taper.disagreement")
    fid_mm, taper_mm = request.rope.full_fid_mm, layout.taper[-1].at_mm
    if above(abs(taper_mm - fid_mm), share.value * fid_mm):
        request.notices.add(
            "taper_counts_disagree",
            request.pointer,
            value=Length(taper_mm),
            limit=Length(fid_mm),
            source=share.source,
        )


def straight_limits(request: EndRequest, _figures: Figures) -> BuryLimits:
    """The rules for a tail all of which is buried."""
    limits = _limits(request, 0.0, 0.0, locked=False)
    floor, rule, *_ = (limit.least for limit in limits)
    return BuryLimits(floor, max(floor, rule, key=lambda length: length.mm))  # of thin rope


def locked_limits(request: EndRequest, figures: Figures) -> BuryLimits:
    """The rules for a tail of which a lock uses a part.

    High-modulus rope: the rule is on the bury, so what the lock uses comes off it; as planned, and
    at the most, where nobody can see how much of the bury the lock of this piece took.

    Args:
        figures: of the end's plan; ``bury`` and ``buried`` are taken.
    """
    bury, buried = length_in(figures, "bury"), length_in(figures, "buried")
    lock_mm = bury.mm - buried.mm
    if not request.rope.high_modulus:
        rules = straight_limits(request, figures)
        return BuryLimits(rules.floor, _left(request, rules.least, lock_mm, lock_mm))
    (rule,) = _locked_limits(request, bury.mm)
    most_lock_mm = bury.mm - buried.bounds_mm[0]
    least, floor = (_left(request, rule.least, 0.0, mm) for mm in (lock_mm, most_lock_mm))
    return BuryLimits(floor, least)


def _left(request: EndRequest, rule: Length, added_mm: float, lock_mm: float) -> Length:
    """Of a rule, with what is added to it, what a lock leaves of the bury marked by paper."""
    marked_mm = rule.mm + added_mm
    return replace(rule, mm=min(marked_mm, request.write.as_read(marked_mm)) - lock_mm)


def _limits(
    request: EndRequest, bury_mm: float, buried_mm: float, *, locked: bool
) -> tuple[_Limit, ...]:
    """The rules for a bury, the gravest first: the first that is broken is the one to say."""
    if not request.rope.high_modulus:
        return _standard_limits(request, bury_mm, buried_mm)
    if locked:
        return _locked_limits(request, bury_mm)
    return _straight_limits(request, buried_mm)


def _standard_limits(request: EndRequest, bury_mm: float, buried_mm: float) -> tuple[_Limit, ...]:
    lock_mm = bury_mm - buried_mm
    rule, rope = request.reference.rule, request.rope
    floor, advice, fids = (rule(f"bury.standard.{name}") for name in ("floor", "advice", "default"))
    # two full fids are about 42 d, but 41 d in some sizes: the shorter of the two meets the advice
    advised_mm = min(advice.value * rope.diameter_mm, fids.value * rope.full_fid_mm)
    floor_mm = floor.value * rope.diameter_mm
    return (
        _Limit("bury_below_floor", buried_mm, floor_mm, floor.source, lock_mm),
        _Limit("bury_between_rules", buried_mm, advised_mm, advice.source, lock_mm),
    )


def _straight_limits(request: EndRequest, buried_mm: float) -> tuple[_Limit, ...]:
    rule, diameter_mm = request.reference.rule, request.rope.diameter_mm
    least, uncoated = rule("bury.high_modulus.least"), rule("bury.high_modulus.uncoated")
    floor, advice = _straight_rules(request)
    floor_mm = max(floor.value * diameter_mm, least.value)
    source = floor.source if floor_mm > least.value else least.source
    advised_mm = straight_rule_d(request) * diameter_mm
    limits = (
        _Limit("bury_below_floor", buried_mm, floor_mm, source),
        _Limit("bury_between_rules", buried_mm, advised_mm, advice.source),
    )
    if request.rope.coating != "unknown":
        return limits
    return *limits, _Limit(_NOT_A_RULE, buried_mm, uncoated.value * diameter_mm, uncoated.source)


def _straight_rules(request: EndRequest) -> tuple[Figure, Figure]:
    """Floor and advice for a straight bury in high-modulus rope: the customary ones of coated."""
    names = ("default", "uncoated") if request.rope.coating == "uncoated" else ("floor", "default")
    floor, advice = (request.reference.rule(f"bury.high_modulus.{name}") for name in names)
    return floor, advice


def _locked_limits(request: EndRequest, bury_mm: float) -> tuple[_Limit, ...]:
    fids = request.reference.rule("bury.locked.high_modulus")
    least_mm = fids.value * request.rope.full_fid_mm
    return (_Limit("locked_bury_below_fids", bury_mm, least_mm, fids.source),)


def _describe_locked(request: EndRequest, bury_mm: float, buried_mm: float) -> None:
    rule, rope = request.reference.rule, request.rope
    floor, straight = _straight_rules(request)
    lock_mm, customary_mm = bury_mm - buried_mm, _customary_lock_mm(request)
    if above(lock_mm, customary_mm):
        request.notices.add(
            "lock_longer_than_customary",
            f"{request.pointer}/lock",
            value=Length(lock_mm),
            limit=Length(customary_mm),
            source=rule("lock.picks_to_return").source,
            buried=request.write.write(buried_mm),
            diameters=_diameters(request, buried_mm),
        )
    request.notices.add(
        "locked_bury_beside_straight_rules",
        request.pointer,
        value=Length(buried_mm),
        limit=Length(straight.value * rope.diameter_mm),
        source=straight.source,
        diameters=_diameters(request, buried_mm),
        floor=f"{floor.value:g}",
        straight=f"{straight.value:g}",
    )


def _customary_lock_mm(request: EndRequest) -> float:
    rule, rope = request.reference.rule, request.rope
    picks = rule("lock.picks_to_return").value + rule("lock.picks_to_entry").value
    pick_mm = rope.pick_mm(measured_pitch(request).mm)
    return picks * pick_mm + rule("lock.allowance").value * rope.diameter_mm


def _add(request: EndRequest, limit: _Limit) -> None:
    request.notices.add(
        limit.code,
        f"{request.pointer}{given_bury_at(request)}",
        value=Length(limit.value_mm),
        limit=Length(limit.least_mm),
        source=limit.source,
        diameters=_diameters(request, limit.value_mm),
        limit_diameters=_diameters(request, limit.least_mm),
    )


def _diameters(request: EndRequest, mm: float) -> str:
    return decimal_text(mm / request.rope.diameter_mm, 1)
