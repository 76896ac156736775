"""A tolerance that is a large share of what it limits: most likely a slip of units."""

from tuckmark.compare import above
from tuckmark.notices import Notices
from tuckmark.plan import Length
from tuckmark.reference import Reference


def judge(
    tolerance_mm: float | None, length_mm: float, pointer: str, reference: Reference, said: Notices
) -> None:
    """Warn of a tolerance that lets nearly anything pass.

    Args:
        tolerance_mm: either way; None where none is given.
        length_mm: what it limits.
        pointer: of the tolerance in the spec.
    """
    if tolerance_mm is None:
        return
    share = reference.rule("tolerance.most_likely")
    most_mm = share.value * length_mm
    if above(tolerance_mm, most_mm):
        said.add(
            "tolerance_wide",
            pointer,
            value=Length(tolerance_mm),
            limit=Length(most_mm),
            source=share.source,
            length=said.text(Length(length_mm)),
            percent=f"{share.value * 100:g}",
        )
