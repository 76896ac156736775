"""Figures of a plan as they are published: rounded, written, each with its source."""

from collections.abc import Callable, Mapping, Sequence
from typing import Any, Final

from tuckmark import plan, writing
from tuckmark.plan import GIVEN
from tuckmark.reference import Reference
from tuckmark.spec import Job
from tuckmark.writing import LengthText, rounded, rounded_down

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
        #: how each kind of figure is written; words, counts and nothing stay as they are
        self._written_by: dict[type, Callable[[Any], Any]] = {
            plan.Length: self.length,
            plan.Force: self.force,
            plan.Mass: self.mass,
            plan.Share: self.share,
            plan.Angle: self.angle,
            plan.Temperature: self.temperature,
            float: self.ratio,
            tuple: self._list,
            list: self._list,
            dict: self._named,
        }

    def length(self, length: plan.Length | None) -> Object | None:
        """A length with its range and its text."""
        if length is None:
            return None
        found: Object = {"mm": rounded(length.mm, 1), "text": self._write.write(length.mm)}
        if length.low_mm is not None and length.high_mm is not None:
            found["low_mm"] = rounded(length.low_mm, 1)
            found["high_mm"] = rounded(length.high_mm, 1)
        if length.source is not None:
            found["source"] = self.name(length.source)
        return found

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
        text = writing.force_text(force.kn, self._write.metric)
        return self.with_source({"kn": rounded(force.kn, 2), "text": text}, force.source)

    def mass(self, mass: plan.Mass | None) -> Object | None:
        """A mass with its text."""
        if mass is None:
            return None
        text = writing.mass_text(mass.kg, self._write.metric)
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

    @staticmethod
    def angle(angle: plan.Angle) -> Object:
        """An angle."""
        return {"deg": rounded(angle.deg, 1)}

    def temperature(self, temperature: plan.Temperature) -> Object:
        """A temperature with its text."""
        text = writing.temperature_text(temperature.deg_c, self._write.metric)
        return {"deg_c": rounded(temperature.deg_c, 1), "text": text}

    @staticmethod
    def ratio(ratio: float) -> float:
        """A plain ratio."""
        return rounded(ratio, 3)

    def tree(self, tree: plan.Tree) -> Any:
        """What a family says, or one figure, written by its kind."""
        write = self._written_by.get(type(tree))
        return write(tree) if write else tree

    def _list(self, branches: Sequence[plan.Tree]) -> list[Any]:
        return [self.tree(branch) for branch in branches]

    def _named(self, branches: Mapping[str, plan.Tree]) -> Object:
        if isinstance(source := branches.get("source"), str):
            self.name(source)
        return {name: self.tree(branch) for name, branch in branches.items()}

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
            "value": self.tree(warning.value),
            "limit": self.tree(warning.limit),
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
