"""The whole way from a JSON value to an answer, without any framework."""

import hashlib
import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any, Final

import orjson
import rfc8785
from msgspec import Struct
from msgspec.structs import replace

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
from tuckmark.observing import NOBODY, Observer
from tuckmark.plan import Plan
from tuckmark.reference import Reference
from tuckmark.render import plan_json
from tuckmark.spec import Spec
from tuckmark.validation import Judge
from tuckmark.writing import LengthText

#: version of the computation: raised whenever any plan changes, and only then
ENGINE: Final = "1.0.0"
_DIGEST: Final = "sha256:"
_MOST_POINTER: Final = 400
#: where sorted JSON may not be canonical: order of names beyond ASCII, exponents, 4.0 for 4
_MAY_DIFFER: Final = re.compile(rb"[^\x00-\x7f]|[0-9]e|\.0[,}\]]")


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

    def below(self, pointer: str) -> "Rejected":
        """The same refusal of a document that is a part of another."""
        faults = (replace(fault, pointer=pointer + fault.pointer) for fault in self.faults)
        return Rejected(self.code, tuple(faults), self.count)


class Made(Struct, frozen=True):
    """A plan before it is written.

    Attributes:
        asked: the typed spec it was made for.
        write: writes lengths in the units that the spec wants to see.
        canonical: the document's canonical JSON (RFC 8785), without ``$schema``.
    """

    asked: Spec
    plan: Plan
    write: LengthText
    canonical: bytes


class Pipeline(Struct, frozen=True):
    """Judge, tables and families, built once and used for every document.

    Attributes:
        observer: is told of every stage and every plan; changes nothing.
    """

    judge: Judge
    reference: Reference
    families: Mapping[str, Family]
    observer: Observer = NOBODY

    def plan(self, document: Json, printed: str | None = None) -> dict[str, Any]:
        """The plan, ready to be written as JSON.

        Args:
            document: the spec.
            printed: how the digest began that was printed with an address; a plan with another
                digest leads with a warning.

        Raises:
            Rejected: the document is not a spec, or no plan exists for it.
        """
        try:
            made = self._plan(document, printed)
        except Rejected as rejected:
            self.observer.refused(rejected.code, rejected.faults)
            raise
        self.observer.planned(made)
        return made

    def _plan(self, document: Json, printed: str | None = None) -> dict[str, Any]:
        stage = self.observer.stage
        with stage("judge"):
            verdict = self.judge.verdict(document)
        if verdict.count:
            raise Rejected("spec_invalid", verdict.faults, verdict.count)
        made = self.made(document)
        plan = made.plan
        if printed is not None and not plan.digest.startswith(_DIGEST + printed):
            changed = notices.changed_since_print(printed, ENGINE, self.reference.version)
            plan = replace(plan, warnings=(changed, *plan.warnings))
        with stage("write"):
            packed = packing.pack(made.canonical)
            return plan_json.as_json(plan, made.asked.display, self.reference, ENGINE, packed)

    def made(self, document: Json) -> Made:
        """The plan of a document that the published schema has accepted, its figures exact.

        Raises:
            Rejected: no plan exists for it.
        """
        with self.observer.stage("read"):
            asked, read_as = reading.read(document)
            canonical = canonical_json(document)
            digest = self._digest(canonical)
        try:
            with self.observer.stage("plan"):
                made = planner.plan(asked, read_as, digest, self.reference, self.families)
        except Refused as refused:
            raise rejected_for("not_plannable", refused.faults, document) from refused
        write = LengthText(asked.display.units, asked.display.inch_fraction)
        return Made(asked, made, write, canonical)

    def check(self, document: Json) -> dict[str, Any]:
        """Whether a document is a valid spec, whether a plan exists, and whether it may be used."""
        try:
            made = self._plan(document)
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
        text = b'{"engine":"%b","spec":%b,"tables":"%b"}'
        whole = text % (ENGINE.encode(), canonical, self.reference.version.encode())
        return _DIGEST + hashlib.sha256(whole).hexdigest()


@cache
def default_pipeline() -> Pipeline:
    """The pipeline over the published schema and the package's own tables."""
    judge = validation.Judge(published.schema("splice-spec"))
    return Pipeline(judge, reference.default(), REGISTRY)


def canonical_json(document: Json) -> bytes:
    """The canonical JSON (RFC 8785) of an accepted spec, without ``$schema``."""
    whole = {key: value for key, value in document.items() if key != "$schema"}
    quick = orjson.dumps(whole, option=orjson.OPT_SORT_KEYS)
    return rfc8785.dumps(whole) if _MAY_DIFFER.search(quick) else quick


def rejected_for(code: str, faults: Iterable[Fault], document: Json) -> Rejected:
    """The refusal for faults found in any order, told in the document's."""
    positions = Positions(document)
    found = sorted(faults, key=lambda fault: positions.of(path_of(fault.pointer)))
    return Rejected(code, tuple(found[: validation.MAX_FAULTS]), len(found))


def fault_item(fault: Fault) -> dict[str, Any]:
    """A fault as it stands in a problem or a validation report.

    A pointer may be as long as the names in a document. One of over 400 characters, which no spec
    needs, leads to the nearest place above that can be named in as many, and the detail says so.
    """
    pointer, detail = fault.pointer, fault.detail
    if len(pointer) > _MOST_POINTER:
        detail += f" The pointer ends above it: the whole would have {len(pointer):,} characters."
        pointer = pointer[: _MOST_POINTER + 1].rpartition("/")[0]
    item: dict[str, Any] = {"pointer": pointer, "code": fault.code, "detail": detail}
    if fault.allowed is not None:
        allowed = fault.allowed
        item["allowed"] = list(allowed) if isinstance(allowed, tuple) else allowed
    if fault.given is not None:
        item["given"] = fault.given
    if fault.hint is not None:
        item["hint"] = fault.hint
    return item
