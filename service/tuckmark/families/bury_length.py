"""How long a bury is, and by which rule: as the spec gives it, else as published for the rope."""

from tuckmark.families.base import EndRequest
from tuckmark.plan import GIVEN


def given_bury_at(request: EndRequest) -> str:
    """Where in the end's spec its bury stands; empty where the rule decides."""
    end = request.end
    given = {"bury": end.bury_mm, "bury_fids": end.bury_fids, "bury_diameters": end.bury_diameters}
    return next((f"/{name}" for name, value in given.items() if value is not None), "")


def given_bury_mm(request: EndRequest) -> float | None:
    """Bitter end to tail throat as the spec gives it; None where the rule decides."""
    end, rope = request.end, request.rope
    if end.bury_mm is not None:
        return end.bury_mm
    if end.bury_fids is not None:
        return end.bury_fids * rope.full_fid_mm
    if end.bury_diameters is not None:
        return end.bury_diameters * rope.diameter_mm
    return None


def bury_length_mm(request: EndRequest, lock_mm: float) -> float:
    """Bitter end to tail throat: as the spec gives it, else by the rule for this rope.

    Args:
        lock_mm: tail used by the lock, which the default for standard fibres adds.
    """
    given_mm = given_bury_mm(request)
    return default_bury_mm(request, lock_mm) if given_mm is None else given_mm


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
    rule = request.reference.rule
    if given_bury_mm(request) is not None:
        return GIVEN
    if not request.rope.high_modulus:
        return rule("bury.standard.default").source
    if locked:
        return rule("bury.locked.high_modulus").source
    least = rule("bury.high_modulus.least")
    if straight_rule_d(request) * request.rope.diameter_mm < least.value:
        return least.source
    uncoated = request.rope.coating == "uncoated"
    return rule(f"bury.high_modulus.{'uncoated' if uncoated else 'default'}").source


def straight_rule_d(request: EndRequest) -> float:
    """The published straight bury of high-modulus rope in diameters, by its coating."""
    uncoated = request.rope.coating == "uncoated"
    return request.reference.rule(
        "bury.high_modulus.uncoated" if uncoated else "bury.high_modulus.default"
    ).value
