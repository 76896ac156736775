"""Which measurement would make the finished length surer, and by how much."""

import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib import resources
from typing import Final

from tuckmark import wide_tolerance
from tuckmark.compare import above
from tuckmark.lengths import Target
from tuckmark.notices import Notices
from tuckmark.plan import Advice, Figures, Length, uncertain
from tuckmark.ranges import without
from tuckmark.reference import Reference
from tuckmark.writing import LengthText

_LEAST_SHARE: Final = 0.01
_ONE_IS_ENOUGH: Final = "Measuring {title} would make it possible"
_NONE_IS_ENOUGH: Final = (
    "Measuring {title} helps most, but no single measurement is enough: make a trial assembly"
)


def advise(finished: Length | None, write: LengthText) -> tuple[Advice, ...]:
    """The inputs that spread the finished length, the one that spreads it most first.

    Args:
        finished: as the document measures it.

    An input's share is that of the squared spread; what would remain is the range with that
    input known exactly and the others as they are.
    """
    if finished is None:
        return ()
    spans = {name: max(0.0, *moved) - min(0.0, *moved) for name, moved in finished.moved.items()}
    total = sum(span**2 for span in spans.values())
    ranked = sorted(spans, key=lambda name: (-spans[name], name))
    return tuple(
        _advice(name, spans[name] ** 2 / total, finished, write)
        for name in ranked
        if total > 0 and spans[name] ** 2 / total >= _LEAST_SHARE
    )


def judge_tolerance(
    target: Target | None,
    finished: Length | None,
    advice: Sequence[Advice],
    reference: Reference,
    notices: Notices,
) -> Figures | None:
    """Whether the length tolerance can be promised; if not, what would make it possible.

    Args:
        finished: as the document measures it; a loop may be laid flat.
        advice: on that length.
    """
    if target is None or finished is None or target.tolerance_mm is None:
        return None
    tolerance_mm, miss_mm = target.tolerance_mm, finished.most_off_mm
    wide_tolerance.judge(tolerance_mm, finished.mm, target.tolerance_at, reference, notices)
    assured = not above(miss_mm, tolerance_mm)
    found: Figures = {"given": Length(tolerance_mm), "assured": assured}
    if not assured:
        enough = [one.code for one in advice if not above(one.remaining.most_off_mm, tolerance_mm)]
        remedy = _ONE_IS_ENOUGH if enough else _NONE_IS_ENOUGH
        first = (enough or [one.code for one in advice])[0]
        low_mm, high_mm = finished.bounds_mm
        notices.add(
            "tolerance_not_assured",
            target.tolerance_at,
            value=Length(miss_mm),
            limit=Length(tolerance_mm),
            what=target.called,
            off=notices.finely(miss_mm),
            tolerance=notices.finely(tolerance_mm),
            low=notices.text(Length(low_mm)),
            high=notices.text(Length(high_mm)),
            remedy=remedy.format(title=_measurements()[first]["title"]),
        )
        found = {**found, "measure": first}
    if target.legs > 1:
        found = {**found, "laid_flat_inside": finished}
    return found


def _advice(name: str, share: float, finished: Length, write: LengthText) -> Advice:
    words = _measurements()[name]
    remaining = uncertain(finished.mm, without(finished.moved, (name,)), finished.source)
    low, high = (write.write(mm) for mm in remaining.bounds_mm)
    left = f"it would leave {low} to {high}." if low != high else f"{low} would be as good as sure."
    text = (
        f"{words['title'][:1].upper()}{words['title'][1:]} causes {share * 100:.0f} % of what the "
        f"finished length may be off. {words['measure']} Known exactly, {left}"
    )
    return Advice(name, text, share, remaining)


@cache
def _measurements() -> Mapping[str, Mapping[str, str]]:
    text = (resources.files("tuckmark") / "data" / "measurements.json").read_text(encoding="utf-8")
    found: dict[str, dict[str, str]] = json.loads(text)
    return found
