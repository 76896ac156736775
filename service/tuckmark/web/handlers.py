"""What each operation does: a few lines from a checked request to the bytes of its answer."""

from collections.abc import Mapping
from typing import Any, Final

from msgspec.structs import asdict, replace

from tuckmark import changes, published, spelling
from tuckmark.observing import NOBODY
from tuckmark.pipeline import Pipeline
from tuckmark.reference import Source
from tuckmark.web import assets, docs, limits, links, problems
from tuckmark.web.representations import json_bytes
from tuckmark.web.table import Call

#: the example that readiness is tried on
_PROBE: Final = "towing-pendant"


def validate(pipeline: Pipeline, call: Call) -> bytes:
    """Every fault of the document that was sent."""
    return json_bytes(pipeline.check(call.document))


def list_families(pipeline: Pipeline, _call: Call) -> bytes:
    """What can be planned."""
    return json_bytes({"families": [family.listing() for family in pipeline.families.values()]})


def show_family(pipeline: Pipeline, call: Call) -> bytes:
    """One splice family."""
    name = _known("family", call, pipeline.families)
    return json_bytes(pipeline.families[name].listing())


def list_tables(pipeline: Pipeline, _call: Call) -> bytes:
    """The tables the service computes with."""
    tables = [
        {"name": name, "rows": len(rows), "href": f"/v1/reference/{name}"}
        for name, rows in pipeline.reference.tables().items()
    ]
    return json_bytes({"version": pipeline.reference.version, "tables": tables})


def show_table(pipeline: Pipeline, call: Call) -> bytes:
    """One table, row by row."""
    tables = pipeline.reference.tables()
    name = _known("table", call, tables)
    rows = [dict(row) for row in tables[name]]
    return json_bytes({"name": name, "version": pipeline.reference.version, "rows": rows})


def list_sources(pipeline: Pipeline, _call: Call) -> bytes:
    """Every source that a figure names."""
    sources = {key: _source(source) for key, source in pipeline.reference.sources.items()}
    return json_bytes({"sources": sources})


def show_about(pipeline: Pipeline, _call: Call) -> bytes:
    """Versions and limits."""
    return json_bytes({**pipeline.about(), "limits": limits.LISTING})


def list_changes(_pipeline: Pipeline, _call: Call) -> bytes:
    """Every version of the computation and the plans it changes."""
    return json_bytes({"changes": changes.listed()})


def show_schema(_pipeline: Pipeline, call: Call) -> bytes:
    """One published schema, the very bytes of its file."""
    files = published.schema_files()
    return files[_known("name", call, files, "schema")]


def show_grammar(_pipeline: Pipeline, _call: Call) -> bytes:
    """The grammar of quantities."""
    return published.grammar()


def show_openapi(_pipeline: Pipeline, _call: Call) -> bytes:
    """The OpenAPI document."""
    return published.openapi()


def show_asset(_pipeline: Pipeline, call: Call) -> bytes:
    """A style sheet, script or font of our own pages."""
    files = assets.files()
    return files[_known("name", call, files, "file")]


def show_catalog(_pipeline: Pipeline, _call: Call) -> bytes:
    """Links to everything that describes the service."""
    return json_bytes(links.catalog())


def show_docs(_pipeline: Pipeline, _call: Call) -> bytes:
    """The description as a page."""
    return docs.page()


def show_liveness(_pipeline: Pipeline, _call: Call) -> bytes:
    """Answers as long as the process does."""
    return json_bytes({"status": "live"})


def show_readiness(pipeline: Pipeline, call: Call) -> bytes:
    """Ready is: nobody has told it to stop, and a published example can be planned."""
    if call.running and call.running.stopping():
        raise problems.ProblemError("stopping", headers={"Retry-After": limits.RETRY_AFTER_S})
    unwatched = replace(pipeline, observer=NOBODY)  # a probe is no order
    if not unwatched.check(published.examples()[_PROBE])["plannable"]:
        raise problems.ProblemError("not_ready", headers={"Retry-After": limits.RETRY_AFTER_S})
    return json_bytes({"status": "ready"})


def show_metrics(_pipeline: Pipeline, call: Call) -> bytes:
    """Everything that was counted."""
    if call.running is None or not call.running.meters.on:
        raise problems.ProblemError("not_metered", headers={"Retry-After": limits.RETRY_AFTER_S})
    return call.running.meters.exposition()


def list_problems(_pipeline: Pipeline, _call: Call) -> bytes:
    """Every code this service uses."""
    entries = [entry.listing() for entry in problems.catalogue().values()]
    return json_bytes({"problems": entries})


def show_problem(_pipeline: Pipeline, call: Call) -> bytes:
    """What a code means and what to do."""
    entries = problems.catalogue()
    return json_bytes(entries[_known("code", call, entries)].listing())


def _known(parameter: str, call: Call, names: Mapping[str, Any], what: str | None = None) -> str:
    """The name in the path, if there is such a thing."""
    name: str = call.parameters[parameter]
    if name not in names:
        detail = f"There is no {what or parameter} of this name."
        item = problems.parameter_item(
            parameter,
            "unknown_name",
            detail,
            allowed=tuple(names),
            given=name,
            hint=spelling.did_you_mean(name, names),
        )
        raise problems.ProblemError("not_found", detail, [item])
    return name


def _source(source: Source) -> dict[str, str]:
    return {name: value for name, value in asdict(source).items() if name != "key"}
