"""What differs between two plans, place by place."""

from collections.abc import Hashable, Iterator
from dataclasses import dataclass
from typing import Final

from tuckmark.document import Json

#: they follow from the rest of a plan, or say with what it was made
_LEFT_OUT: Final = frozenset({"digest", "made_with", "links", "sources"})
#: what tells the entries of a list apart, the first that all of them have; else their place
_IDENTITIES: Final = (
    ("id",),
    ("code", "pointer"),
    ("code",),
    ("pointer",),
    ("action", "end", "text"),
    ("name", "end"),
    ("picks",),
)
#: the number of a step, which moves when one is put in before it
_COUNTED: Final = "n"


@dataclass(frozen=True, slots=True)
class Difference:
    """One place at which two plans differ.

    Attributes:
        path: keys from the top of the plan, ``/`` between; entries of lists by their names.
        old: what stands there in the old plan; None where nothing does.
        new: the same of the new one.
    """

    path: str
    old: Json
    new: Json


def between(old: dict[str, Json], new: dict[str, Json]) -> list[Difference]:
    """Every difference that matters to whoever splices, in the order of the new plan."""
    return list(_between(_kept(old), _kept(new), ()))


def _kept(plan: dict[str, Json]) -> dict[str, Json]:
    return {key: value for key, value in plan.items() if key not in _LEFT_OUT}


def _between(old: Json, new: Json, path: tuple[str, ...]) -> Iterator[Difference]:
    if isinstance(old, dict) and isinstance(new, dict):
        for key in dict.fromkeys([*new, *old]):
            if key != _COUNTED:
                yield from _between(old.get(key), new.get(key), (*path, key))
    elif isinstance(old, list) and isinstance(new, list):
        yield from _between_lists(old, new, path)
    elif old != new or isinstance(old, bool) is not isinstance(new, bool):
        yield Difference("/".join(path), old, new)


def _between_lists(old: list[Json], new: list[Json], path: tuple[str, ...]) -> Iterator[Difference]:
    names = _names(old, new)
    if names is None:
        yield from _between(dict(_numbered(old)), dict(_numbered(new)), path)
        return
    olds, news = ({_name(item, names): item for item in items} for items in (old, new))
    for name in dict.fromkeys([*news, *olds]):
        yield from _between(olds.get(name), news.get(name), (*path, _written(name)))
    orders = [[_written(name) for name in here if name in there] for here, there in
              ((olds, news), (news, olds))]  # fmt: skip
    if orders[0] != orders[1]:
        yield Difference("/".join((*path, "order")), *orders)


def _names(old: list[Json], new: list[Json]) -> tuple[str, ...] | None:
    """The properties by which the entries of both lists can be told apart."""
    for names in _IDENTITIES:
        if all(
            all(isinstance(item, dict) and set(names) <= item.keys() for item in items)
            and len({_name(item, names) for item in items}) == len(items)
            for items in (old, new)
        ):
            return names
    return None


def _name(item: dict[str, Json], names: tuple[str, ...]) -> tuple[Hashable, ...]:
    return tuple(str(item[name]) for name in names)


def _written(name: tuple[Hashable, ...]) -> str:
    return " ".join(str(part) for part in name if part not in ("", "None"))


def _numbered(items: list[Json]) -> Iterator[tuple[str, Json]]:
    return ((str(n), item) for n, item in enumerate(items, 1))
