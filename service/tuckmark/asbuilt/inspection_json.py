"""An inspection as its published JSON: the record that sheet and page are made from."""

from typing import Any, Final

from tuckmark.asbuilt.inspection import Inspection
from tuckmark.asbuilt.items import Item, Limit
from tuckmark.asbuilt.judging import Row
from tuckmark.plan import Length
from tuckmark.reference import Reference
from tuckmark.render.figures import FigureWriter, Object, job
from tuckmark.writing import rounded

INSPECTION_VERSION: Final = "1.0"
STATEMENT: Final = (
    "This record says what was measured and what was not, by whoever signs it. By itself it "
    "certifies nothing: it proves no strength and replaces no test, no rope maker's instruction "
    "and no competent person."
)
_EXAMPLE_NOTE: Final = (
    "An example only, of one published contract for a manila sling: it was not applied here. "
    "Tolerances are agreed with the order and given in the spec."
)
_EXAMPLES: Final = {
    "length": "length of the sling",
    "eye_inside_perimeter": "inside perimeter of the eye",
    "length_per_weight": "length for its weight",
}


def as_json(inspection: Inspection, reference: Reference, engine: str) -> Object:
    """The record in its published shape and key order.

    Args:
        inspection: what was found.
        reference: for the example's figures and the titles of sources.
        engine: version of the computation.
    """
    writer = _Writer(inspection.made.write)
    made, measured = inspection.made, inspection.measured
    asked = made.asked
    body: Object = {
        "inspection_version": INSPECTION_VERSION,
        "verdict": inspection.verdict,
        "reasons": list(inspection.reasons),
        "rows": [writer.row(row) for row in inspection.rows],
        "not_checked": [
            {"what": item.what, "name": item.name, "pointer": item.pointer}
            for item in inspection.not_checked
        ],
        "stops": [
            {"code": warning.code, "message": warning.message}
            for warning in made.plan.warnings
            if warning.severity == "stop"
        ],
        "example_limits": writer.example_limits(reference)
        if any(row.verdict == "no_tolerance_given" for row in inspection.rows)
        else None,
        "statement": STATEMENT,
        "job": job(made.plan.job),
        "piece": measured.piece,
        "rope": {
            "construction": asked.rope.construction,
            "fibre": asked.rope.fibre,
            "diameter": writer.length(made.plan.rope.diameter),
            "hand_tension": writer.force(made.plan.rope.hand_tension),
        },
        "splices": _splices(inspection),
        "state": measured.state,
        "digest": made.plan.digest,
        "made_with": {"engine": engine, "tables": reference.version},
    }
    body["sources"] = writer.sources(reference)
    body["links"] = {
        "request_schema": "/schema/v1/inspection-request.json",
        "schema": "/schema/v1/inspection-report.json",
        "sources": "/v1/sources",
    }
    return body


def _splices(inspection: Inspection) -> Object:
    plan = inspection.made.plan
    if plan.join is not None:
        return {"join": plan.join["splice"]}
    return {name: figures["splice"] for name, figures in (plan.ends or {}).items()}


class _Writer(FigureWriter):
    def row(self, row: Row) -> Object:
        return {
            "what": row.what,
            "name": row.name,
            "pointer": row.pointer,
            "planned": self._planned(row.item),
            "measured": self._measured(row),
            "difference": self._difference(row),
            "tolerance": self._tolerance(row.item),
            "verdict": row.verdict,
            "do": row.do,
        }

    def _planned(self, item: Item | None) -> Object | None:
        if item is None:
            return None
        if isinstance(item.planned, Length):
            return self.length(item.planned)
        return {"count": item.planned}

    def _measured(self, row: Row) -> Object:
        if row.item is None or row.measured is None:
            return {"found": list(row.said)}
        if isinstance(row.item.planned, Length):
            return {"mm": rounded(row.measured.value, 1), "given": row.measured.given}
        return {"count": row.measured.value}

    def _difference(self, row: Row) -> Object | None:
        if row.item is None or row.difference is None:
            return None
        if isinstance(row.item.planned, Length):
            return {"mm": row.difference}
        return {"count": int(row.difference)}

    def _tolerance(self, item: Item | None) -> Object | None:
        if item is None or item.limit is None:
            return None
        found = {"kind": item.limit.kind, **self._limit(item, item.limit)}
        for name, other in (("floor", item.floor), ("advised", item.advised)):
            if other is not None and other.value != item.limit.value:
                found[name] = self._limit(item, other)
        return found

    def _limit(self, item: Item, limit: Limit) -> Object:
        found: Object = {"count": int(limit.value)}
        if isinstance(item.planned, Length):
            text = self._write.write_finely(limit.value)
            found = {"mm": rounded(limit.value, 1), "text": text}
        return self.with_source(found, limit.source)

    def example_limits(self, reference: Reference) -> Object:
        rows: list[dict[str, Any]] = []
        source = ""
        for row in reference.tables()["as_built_example"]:
            source = str(row["source"])
            rows.append(
                {
                    "what": _EXAMPLES[str(row["name"])],
                    "value": row["value"],
                    "low": row["low"],
                    "high": row["high"],
                    "unit": row["unit"],
                }
            )
        return {"note": _EXAMPLE_NOTE, "limits": rows, "source": self.name(source)}
