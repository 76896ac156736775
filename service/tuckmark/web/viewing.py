"""A plan as the client wants to see it: which view, in which format, with which options."""

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, Final

from tuckmark import spelling
from tuckmark.pipeline import Pipeline, Rejected
from tuckmark.render import views
from tuckmark.render.excerpt import excerpt
from tuckmark.render.view import (
    MEDIA_TYPES,
    CannotShowError,
    Format,
    Options,
    PlanDocument,
    Showing,
    printed_address,
)
from tuckmark.render.views import PLAN, VIEWS
from tuckmark.web import problems, representations
from tuckmark.web.problems import Item, ProblemError, parameter_item
from tuckmark.web.representations import json_bytes
from tuckmark.web.table import Call, Parameters

_OPTIONS: Final = frozenset(option.name for option in fields(Options))
_OF_MEDIA_TYPE: Final = {media_type: form for form, media_type in MEDIA_TYPES.items()}


def offers(parameters: Parameters) -> tuple[str, ...]:
    """Media types of the view that was asked for; of one format only, where it was named.

    Raises:
        ProblemError: ``not_found`` or ``parameter_invalid``.
    """
    name, known = parameters.get("view", PLAN), _named_views()
    if "view" in parameters and name not in known:
        detail = "There is no view of this name."
        hint = spelling.did_you_mean(name, known)
        item = parameter_item("view", "unknown_name", detail, allowed=known, given=name, hint=hint)
        raise ProblemError("not_found", detail, [item])
    view, form = VIEWS[name], parameters.get("format")
    if form is None:
        return view.media_types
    if form not in view.formats:
        _refuse("format", "not_one_of", f"The view {name} has no such format.", tuple(view.formats))
    return (MEDIA_TYPES[_known(form)],)


def show_plan(pipeline: Pipeline, call: Call) -> bytes:
    """The plan of a spec, as it was asked for."""
    given = call.parameters
    name, form = given.get("view", PLAN), _OF_MEDIA_TYPE[call.media_type]
    if "fields" in given and (name, form) != (PLAN, "json"):
        _refuse("fields", "not_used_here", "Only the plan as JSON has fields.", ())
    try:
        plan = pipeline.plan(call.document, given.get("made"))
    except Rejected as rejected:
        raise problems.of_rejected(rejected) from None
    if "fields" in given:
        return json_bytes(excerpt(plan, given["fields"]))
    options = Options(**{option: given[option] for option in _OPTIONS & given.keys()})
    try:
        return views.show(
            name, form, Showing(plan, options, printed_address(plan, call.public_url))
        )
    except CannotShowError as refusal:
        raise _worded(refusal, plan) from None


def file_name(call: Call) -> str | None:
    """A name for the file; none for what is read where it is."""
    form = _OF_MEDIA_TYPE[call.media_type]
    if form in ("json", "html"):
        return None
    job = call.document.get("job", {}) if isinstance(call.document, dict) else {}
    return representations.file_name(job, call.parameters.get("view", PLAN), form)


def _worded(refusal: CannotShowError, plan: PlanDocument) -> ProblemError:
    if refusal.parameter is None:
        stops = [_stop(item) for item in plan["warnings"] if item["severity"] == "stop"]
        return ProblemError(refusal.code, refusal.detail, stops)
    item = parameter_item(refusal.parameter, refusal.code, refusal.detail, allowed=refusal.allowed)
    return ProblemError("parameter_invalid", f"{refusal.parameter}: {refusal.detail}", [item])


def _stop(warning: Mapping[str, Any]) -> Item:
    """What stops a plan, where it stands in the spec, and how it is mended."""
    code = warning["code"]
    return {
        "pointer": warning["pointer"],
        "code": code,
        "detail": warning["message"],
        "hint": problems.catalogue()[code].fix,
    }


def _refuse(parameter: str, code: str, detail: str, allowed: tuple[str, ...]) -> None:
    item = parameter_item(parameter, code, detail, allowed=allowed)
    raise ProblemError("parameter_invalid", f"{parameter}: {detail}", [item])


def _named_views() -> tuple[str, ...]:
    return tuple(name for name in VIEWS if name != PLAN)


def _known(form: str) -> Format:
    return next(name for name in MEDIA_TYPES if name == form)
