"""The whole way from a JSON value to an answer, without any framework."""

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Final

import rfc8785

from tuckmark import (
    __version__,
    notices,
    packing,
    planner,
    published,
    reading,
    reference,
    validation,
)
from tuckmark.document import Json, Positions, path_of
from tuckmark.families import REGISTRY
from tuckmark.families.base import Family
from tuckmark.faults import Fault, Refused
from tuckmark.reference import Reference
from tuckmark.render import plan_json
from tuckmark.validation import Judge

#: version of the computation: raised whenever any plan changes, and only then
ENGINE: Final = "1.0.0"
_DIGEST: Final = "sha256:"


class Rejected(Exception):  # noqa: N818 - a refusal is an answer of the service
    """There is no plan for this document.

    Attributes:
        code: ``spec_invalid`` when the schema refuses it, ``not_plannable`` when no plan exists.
        faults: the first 50, in document order.
        count: how many there are in all.
    """

    def __init__(self, code: str, faults: tuple[Fault, ...], count: int) -> None:
        super().__init__(code)
        self.code = code
        self.faults = faults
        self.count = count


@dataclass(frozen=True, slots=True)
class Pipeline:
    """Judge, tables and families, built once and used for every document."""

    judge: Judge
    reference: Reference
    families: Mapping[str, Family]

    def plan(self, document: Json, printed: str | None = None) -> dict[str, Any]:
        """The plan, ready to be written as JSON.

        Args:
            document: the spec.
            printed: how the digest began that was printed with an address; a plan with another
                digest leads with a warning.

        Raises:
            Rejected: the document is not a spec, or no plan exists for it.
        """
        verdict = self.judge.verdict(document)
        if verdict.count:
            raise Rejected("spec_invalid", verdict.faults, verdict.count)
        asked = reading.to_spec(document)
        canonical = _canonical(document)
        try:
            made = planner.plan(
                asked,
                reading.read_as(document),
                self._digest(canonical),
                self.reference,
                self.families,
            )
        except Refused as refused:
            positions = Positions(document)
            faults = sorted(refused.faults, key=lambda f: positions.of(path_of(f.pointer)))
            shown = tuple(faults[: validation.MAX_FAULTS])
            raise Rejected("not_plannable", shown, len(faults)) from refused
        if printed is not None and not made.digest.startswith(_DIGEST + printed):
            changed = notices.changed_since_print(printed, ENGINE, self.reference.version)
            made = replace(made, warnings=(changed, *made.warnings))
        packed = packing.pack(canonical)
        return plan_json.as_json(made, asked.display, self.reference, ENGINE, packed)

    def check(self, document: Json) -> dict[str, Any]:
        """Whether a document is a valid spec, whether a plan exists, and whether it may be used."""
        try:
            made = self.plan(document)
        except Rejected as rejected:
            return {
                "valid": rejected.code == "not_plannable",
                "plannable": False,
                "usable": None,
                "stops": [],
                "errors": [fault_item(fault) for fault in rejected.faults],
                "error_count": rejected.count,
            }
        stops = [warning for warning in made["warnings"] if warning["severity"] == "stop"]
        return {
            "valid": True,
            "plannable": True,
            "usable": made["usable"],
            "stops": [{key: stop[key] for key in ("code", "message", "pointer")} for stop in stops],
            "errors": [],
            "error_count": 0,
        }

    def about(self) -> dict[str, Any]:
        """Versions of everything that shapes a plan."""
        return {
            "service": __version__,
            "engine": ENGINE,
            "tables": self.reference.version,
            "schema_versions": ["1.0"],
            "plan_version": plan_json.PLAN_VERSION,
        }

    def _digest(self, canonical: bytes) -> str:
        """Of the canonical JSON of engine, spec and tables, put together around the spec's own."""
        before = rfc8785.dumps({"engine": ENGINE})[:-1] + b',"spec":'
        after = b"," + rfc8785.dumps({"tables": self.reference.version})[1:]
        return _DIGEST + hashlib.sha256(before + canonical + after).hexdigest()


@cache
def default_pipeline() -> Pipeline:
    """The pipeline over the published schema and the package's own tables."""
    judge = validation.Judge(published.schema("splice-spec"))
    return Pipeline(judge, reference.default(), REGISTRY)


def _canonical(document: Json) -> bytes:
    return rfc8785.dumps({key: value for key, value in document.items() if key != "$schema"})


def fault_item(fault: Fault) -> dict[str, Any]:
    """A fault as it stands in a problem or a validation report."""
    item: dict[str, Any] = {"pointer": fault.pointer, "code": fault.code, "detail": fault.detail}
    if fault.allowed is not None:
        allowed = fault.allowed
        item["allowed"] = list(allowed) if isinstance(allowed, tuple) else allowed
    if fault.given is not None:
        item["given"] = fault.given
    if fault.hint is not None:
        item["hint"] = fault.hint
    return item
