"""Figures of a plan as they are published: rounded, written, each with its source."""

from collections.abc import Mapping
from typing import Any, Final

from tuckmark import plan, units
from tuckmark.plan import GIVEN
from tuckmark.reference import Reference
from tuckmark.spec import Job
from tuckmark.units import LengthText, rounded, rounded_down

Object = dict[str, Any]

_GIVEN_SOURCE: Final = {
    "title": "Given in the spec",
    "section": "the document itself",
    "kind": "given",
    "confidence": "A",
}


class FigureWriter:
    """Writes figures by their kind and remembers which sources they name.

    Args:
        write: writes lengths in the units that the spec wants to see.

    Attributes:
        used: keys of the sources named so far.
    """

    def __init__(self, write: LengthText) -> None:
        self._write = write
        self.used: dict[str, None] = {}

    def length(self, length: plan.Length | None) -> Object | None:
        """A length with its range and its text."""
        if length is None:
            return None
        found: Object = {"mm": rounded(length.mm, 1), "text": self._write.write(length.mm)}
        if length.low_mm is not None and length.high_mm is not None:
            found["low_mm"] = rounded(length.low_mm, 1)
            found["high_mm"] = rounded(length.high_mm, 1)
        return self.with_source(found, length.source)

    def least(self, length: plan.Length | None) -> Object | None:
        """A least length: its text is rounded up, so that it never reads too short."""
        if length is None:
            return None
        found: Object = {"mm": rounded(length.mm, 1), "text": self._write.write_up(length.mm)}
        return self.with_source(found, length.source)

    def force(self, force: plan.Force | None) -> Object | None:
        """A force with its text."""
        if force is None:
            return None
        text = units.force_text(force.kn, self._write.metric)
        return self.with_source({"kn": rounded(force.kn, 2), "text": text}, force.source)

    def mass(self, mass: plan.Mass | None) -> Object | None:
        """A mass with its text."""
        if mass is None:
            return None
        text = units.mass_text(mass.kg, self._write.metric)
        return self.with_source({"kg": rounded(mass.kg, 2), "text": text}, mass.source)

    def share(self, share: plan.Share | None) -> Object | None:
        """A ratio with its range."""
        if share is None:
            return None
        found: Object = {"value": rounded(share.value, 3)}
        if share.low is not None:
            found["low"] = rounded(share.low, 3)
        if share.high is not None:
            found["high"] = rounded(share.high, 3)
        if share.note is not None:
            found["note"] = share.note
        return self.with_source(found, share.source)

    def tree(self, tree: plan.Tree) -> Any:
        """What a family says, each figure written by its kind."""
        match tree:
            case plan.Share():
                return self.share(tree)
            case Mapping():
                return {
                    name: self.name(branch)
                    if name == "source" and isinstance(branch, str)
                    else self.tree(branch)
                    for name, branch in tree.items()
                }
            case list() | tuple():
                return [self.tree(branch) for branch in tree]
            case int():
                return tree
        return self.measure(tree)

    def measure(self, measure: plan.Tree) -> Any:
        """One figure, written by its kind; words as they are."""
        match measure:
            case plan.Length():
                return self.length(measure)
            case plan.Force():
                return self.force(measure)
            case plan.Mass():
                return self.mass(measure)
            case plan.Angle():
                return {"deg": rounded(measure.deg, 1)}
            case plan.Temperature(deg_c):
                text = units.temperature_text(deg_c, self._write.metric)
                return {"deg_c": rounded(deg_c, 1), "text": text}
            case float() | int():
                return rounded(measure, 3)
        return measure

    def with_source(self, found: Object, source: str | None) -> Object:
        """What was written, naming its source where there is one."""
        if source is not None:
            found["source"] = self.name(source)
        return found

    def name(self, source: str) -> str:
        """The key of a source, remembered as used."""
        self.used[source] = None
        return source

    def at_most(self, mm: float) -> Object:
        """A limit: neither figure may allow more than there is."""
        return {"mm": rounded_down(mm, 1), "text": self._write.write_down(mm)}

    def warning(self, warning: plan.Warning) -> Object:
        """One thing that must be known."""
        found: Object = {
            "code": warning.code,
            "severity": warning.severity,
            "message": warning.message,
            "pointer": warning.pointer,
            "value": self.measure(warning.value),
            "limit": self.measure(warning.limit),
            "source": self.name(warning.source) if warning.source else None,
        }
        if warning.more_sources:
            found["more_sources"] = [self.name(source) for source in warning.more_sources]
        return found

    def sources(self, reference: Reference) -> Mapping[str, Object]:
        """Every source that was named, by its key."""
        found: dict[str, Object] = {}
        for key in sorted(self.used):
            if key == GIVEN:
                found[key] = dict(_GIVEN_SOURCE)
                continue
            source = reference.sources[key]
            found[key] = {
                "title": source.title,
                "section": source.section,
                "kind": source.kind,
                "confidence": source.confidence,
            }
        return found


def job(given: Job) -> Object:
    """What the work is for, as given."""
    return {
        "order": given.order,
        "item": given.item,
        "description": given.description,
        "quantity": given.quantity,
        "references": dict(sorted(given.references.items())),
    }
