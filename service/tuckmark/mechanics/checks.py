"""The guard every formula here shares: a figure that must be positive and finite."""

import math


def require_positive(**figures: float) -> None:
    """Refuse a zero, negative, infinite or not-a-number figure.

    The published schema already refuses these in a document; here they mean a mistake in the
    calling code, so the error is a plain `ValueError`, not an infeasible geometry.

    Args:
        **figures: the figures by name, in any unit.

    Raises:
        ValueError: names the first figure that is not positive and finite.
    """
    for name, figure in figures.items():
        if not 0.0 < figure < math.inf:
            raise ValueError(f"{name} must be positive and finite, not {figure!r}")
