"""Taking single figures out of what a splice family says of its end or join."""

from tuckmark.plan import Figures, Length


def length_in(figures: Figures, name: str) -> Length:
    """A length of this name.

    Raises:
        KeyError: the family says nothing of this name.
        TypeError: what it says is no length.
    """
    found = figures[name]
    if not isinstance(found, Length):
        raise TypeError(f"{name} is no length")
    return found


def count_in(figures: Figures, name: str) -> int:
    """A count of this name.

    Raises:
        KeyError: the family says nothing of this name.
        TypeError: what it says is no count.
    """
    found = figures[name]
    if not isinstance(found, int):
        raise TypeError(f"{name} is no count")
    return found
