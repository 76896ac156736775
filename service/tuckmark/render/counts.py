"""Counts of picks, told in the way they are made: on from the mark before, and in all."""

from collections.abc import Mapping, Sequence
from typing import Any

Json = Mapping[str, Any]


def counts_of(marks: Sequence[Json]) -> Mapping[str, str]:
    """What is counted to each mark that is counted, by its id.

    Each run of marks is counted from one start along one part of one end; the first count is
    from that start.

    Args:
        marks: as published, in the order in which they lie.
    """
    found: dict[str, str] = {}
    before: dict[tuple[str, str, str], int] = {}
    for mark in marks:
        if mark["picks"] is None:
            continue
        run = (mark["end"], mark["part"], mark["from"])
        found[mark["id"]] = counted(mark["picks"], before.get(run, 0))
        before[run] = mark["picks"]
    return found


def counted(picks: int, before: int) -> str:
    """``+2 = 5 picks`` from the mark before; ``3 picks`` from the start."""
    whole = f"{picks} pick" if picks == 1 else f"{picks} picks"
    return f"+{picks - before} = {whole}" if before else whole
