"""A plan as its published JSON: the one place where figures are rounded and written."""

from typing import Final

from tuckmark import plan, units, writing
from tuckmark.quantities import ReadQuantity
from tuckmark.reference import Reference
from tuckmark.render import figures
from tuckmark.render.figures import FigureWriter, Object
from tuckmark.spec import Display
from tuckmark.writing import LengthText, rounded

PLAN_VERSION: Final = "1.0"
#: what stands before the packed spec in a self-contained address
PLAN_PATH: Final = "/v1/plans/"
#: of the digest, so many are printed with an address
PRINTED_DIGITS: Final = 16
_LINKS: Final = {
    "spec_schema": "/schema/v1/splice-spec.json",
    "plan_schema": "/schema/v1/splice-plan.json",
    "sources": "/v1/sources",
    "problems": "/problems",
}
_READ_KEY: Final[dict[units.Kind, str]] = {
    "length": "mm",
    "force": "kn",
    "mass_per_length": "kg_per_m",
    "temperature": "deg_c",
}
_READ_PLACES: Final = 9  # more than the grammar allows: the figure that is used
_TENTH_MM: Final = 0.1


def as_json(
    made: plan.Plan, display: Display, reference: Reference, engine: str, packed: str | None
) -> Object:
    """The plan in the contract's shape and key order.

    Args:
        made: the plan.
        display: how the spec wants to see it.
        reference: for the titles of the sources named in the plan.
        engine: version of the computation.
        packed: the piece of a path that holds the spec; None where it is too long for one.
    """
    body = _Writer(display, reference).whole(made, engine)
    body["links"] = {**_own_links(made.digest, packed), **_LINKS}
    body["display"] = {
        "units": display.units,
        "inch_fraction": display.inch_fraction,
        "page": display.page,
    }
    return body


def _own_links(digest: str, packed: str | None) -> Object:
    """Where the plan can be had again: by its spec alone, and only as this very plan."""
    if packed is None:
        return {}
    own = PLAN_PATH + packed
    return {"self": own, "printed": f"{own}?made={digest.removeprefix('sha256:')[:PRINTED_DIGITS]}"}


class _Writer:
    def __init__(self, display: Display, reference: Reference) -> None:
        self._write = LengthText(display.units, display.inch_fraction)
        self._reference = reference
        self._figures = FigureWriter(self._write)

    def whole(self, made: plan.Plan, engine: str) -> Object:
        body = {
            "plan_version": PLAN_VERSION,
            "digest": made.digest,
            "made_with": {"engine": engine, "tables": self._reference.version},
            "usable": made.usable,
            "job": figures.job(made.job),
            "read_as": [self._read(quantity) for quantity in made.read_as],
            "rope": self._rope(made.rope),
            **self._spliced(made),
            "marks": [self._mark(mark, made.from_a.get(mark.id)) for mark in made.marks],
            "steps": [self._step(n, step) for n, step in enumerate(made.steps, 1)],
            "tools": [self._tool(tool) for tool in made.tools],
            "lengths": self._lengths(made.lengths),
            "strength": self._strength(made.strength),
            "advice": [self._advice(advice) for advice in made.advice],
            "warnings": [self._figures.warning(warning) for warning in made.warnings],
            "cautions": [{"code": c.code, "text": c.text} for c in made.cautions],
        }
        body["sources"] = self._figures.sources(self._reference)
        return body

    def _read(self, quantity: ReadQuantity) -> Object:
        value = rounded(quantity.value, _READ_PLACES)
        given = quantity.given
        if not isinstance(given, str):  # in one order, whatever the document's
            given = {key: given[key] for key in ("value", "unit", "tolerance") if key in given}
        return {
            "pointer": quantity.pointer,
            "given": given,
            _READ_KEY[quantity.kind]: value,
        }

    def _rope(self, rope: plan.RopePlan) -> Object:
        return {
            "construction": rope.construction,
            "fibre": rope.fibre,
            "diameter": self._figures.length(rope.diameter),
            "circumference": self._figures.length(rope.circumference),
            "load_class": {
                "value": rope.load_class,
                "source": self._figures.name(rope.load_class_source),
            },
            "fid_length": self._figures.length(rope.fid_length),
            "pitch": self._figures.length(rope.pitch),
            "pick": self._figures.length(rope.pick),
            "lay_length": self._figures.length(rope.lay_length),
            "core_diameter": self._figures.length(rope.core_diameter),
            "hand_tension": self._figures.force(rope.hand_tension),
            "reasons": dict(rope.reasons),
        }

    def _spliced(self, made: plan.Plan) -> Object:
        if made.join is not None:
            return {"join": self._figures.tree(made.join)}
        ends = made.ends or {}
        return {"ends": {name: self._figures.tree(said) for name, said in ends.items()}}

    def _mark(self, mark: plan.Mark, from_a: plan.Length | None) -> Object:
        distance = self._figures.length(mark.distance)
        return {
            "id": mark.id,
            "end": mark.end,
            "part": mark.part,
            "name": mark.name,
            "from": mark.measured_from,
            "distance": distance,
            "from_a": distance if from_a is mark.distance else self._figures.length(from_a),
            "fids": self._figures.tree(mark.fids),
            "tolerance": self._tolerance(mark.tolerance),
            "shape": mark.shape,
            "picks": mark.picks,
            "same_as": mark.same_as,
            "purpose": mark.purpose,
        }

    def _tolerance(self, tolerance: plan.Tolerance | None) -> Object | None:
        if tolerance is None or tolerance.either_way is None:
            return None
        return {
            **self._figures.at_most(tolerance.either_way.mm),
            "minus": self._miss(tolerance.minus),
            "plus": self._miss(tolerance.plus),
        }

    def _miss(self, miss: plan.Miss | None) -> Object | None:
        if miss is None:
            return None
        return {**self._figures.at_most(miss.mm), "limited_by": miss.limited_by}

    def _step(self, n: int, step: plan.Step) -> Object:
        found: Object = {
            "n": n,
            "end": step.end,
            "action": step.action,
            "text": step.text,
            "marks": list(step.marks),
            "tools": list(step.tools),
        }
        if step.caution is not None:
            found["caution"] = step.caution
        return found

    def _tool(self, tool: plan.Tool) -> Object:
        return {
            "name": tool.name,
            "detail": tool.detail,
            "end": tool.end,
            "length": self._figures.length(tool.length),
            "source": self._figures.name(tool.source) if tool.source else None,
        }

    def _lengths(self, lengths: plan.Lengths) -> Object:
        total: Object = {"quantity": lengths.quantity, "cut": None, "mass": None}
        if lengths.cut is not None:
            piece_mm = rounded(lengths.cut.mm, 1)  # every piece is cut to the printed figure
            total["cut"] = self._figures.length(plan.Length(piece_mm * lengths.quantity))
        if lengths.mass is not None:
            total["mass"] = self._figures.mass(plan.Mass(lengths.mass.kg * lengths.quantity))
        wanted_range = None
        if lengths.low is not None and lengths.high is not None:
            wanted_range = {
                "low": self._figures.length(lengths.low),
                "high": self._figures.length(lengths.high),
            }
        return {
            "between": lengths.between,
            "state": lengths.state,
            "cut": self._figures.length(lengths.cut),
            "finished": self._figures.length(lengths.finished),
            "allowance": self._allowance(lengths),
            "mass": self._figures.mass(lengths.mass),
            "total": total,
            "shortest_workable": self._figures.least(lengths.shortest_workable),
            "range": wanted_range,
            "as_spliced": self._figures.length(lengths.as_spliced),
            "after_setting": self._figures.length(lengths.after_setting),
            **({"tolerance": self._figures.tree(lengths.tolerance)} if lengths.tolerance else {}),
            **({"resplice": self._figures.tree(lengths.resplice)} if lengths.resplice else {}),
            "reasons": dict(lengths.reasons),
        }

    def _allowance(self, lengths: plan.Lengths) -> Object | None:
        parts, cut = lengths.allowance_mm, lengths.cut
        if parts is None or cut is None:
            return None
        by_name = {
            "eyes": parts.eyes,
            "tails": parts.tails,
            "body": parts.body,
            "shortening": parts.shortening,
            "interlock": parts.interlock,
            "ends": parts.ends,
        }
        tenths = self._shares(rounded(cut.mm, 1), list(by_name.values()), _TENTH_MM)
        steps = self._shares(cut.mm, list(by_name.values()), self._write.step_mm)
        return {
            name: {"mm": tenth / 10, "text": self._write.of_steps(step)}
            for name, tenth, step in zip(by_name, tenths, steps, strict=True)
        }

    @staticmethod
    def _shares(total_mm: float, parts_mm: list[float], step_mm: float) -> list[int]:
        total = writing.steps_of(total_mm, step_mm)
        return writing.shared_out(total, [part_mm / step_mm for part_mm in parts_mm])

    def _strength(self, strength: plan.Strength) -> Object:
        return {
            "of": strength.of,
            "breaking": self._figures.force(strength.breaking),
            "basis": strength.basis,
            "splice_efficiency": self._figures.share(strength.splice_efficiency),
            "bend_efficiency": self._figures.share(strength.bend_efficiency),
            "wet_factor": self._figures.share(strength.wet_factor),
            "assembly": self._figures.force(strength.assembly),
            "working_limit": self._figures.force(strength.working_limit),
            "design_factor": self._figures.share(strength.design_factor),
            "verdict": strength.verdict,
            "governed_by": strength.governed_by,
            "reasons": dict(strength.reasons),
        }

    def _advice(self, advice: plan.Advice) -> Object:
        return {
            "code": advice.code,
            "text": advice.text,
            "share": rounded(advice.share, 3),
            "remaining": self._figures.length(advice.remaining),
        }
