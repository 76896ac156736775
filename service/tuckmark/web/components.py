"""The published schemas as named components of one OpenAPI document."""

import json
from collections.abc import Mapping
from importlib import resources
from typing import Any, Final

from tuckmark import published
from tuckmark.document import Json
from tuckmark.render.excerpt import ALWAYS_SHOWN

Schema = dict[str, Any]

#: component -> published schema; its ``$defs`` become components named after it
PUBLISHED: Final = {
    "SpliceSpec": "splice-spec",
    "SplicePlan": "splice-plan",
    "ValidationReport": "validation-report",
    "InspectionRequest": "inspection-request",
    "InspectionReport": "inspection-report",
    "CalibrationRequest": "calibration-request",
    "CalibrationReport": "calibration-report",
    "BatchLine": "batch-line",
    "CutlistRequest": "cutlist-request",
    "CutlistReport": "cutlist-report",
    "Problem": "problem",
}
_DEFINITION: Final = "#/$defs/"
_COMPONENT: Final = "#/components/schemas/"


def reference(component: str) -> Schema:
    """A reference to a component by its name."""
    return {"$ref": _COMPONENT + component}


def examples(component: str) -> Mapping[str, Json]:
    """What an operation that takes this component can be sent: its own examples, or the specs."""
    schema = published.schema(PUBLISHED[component]) if component in PUBLISHED else {}
    own = {f"example-{n}": value for n, value in enumerate(schema.get("examples", ()), 1)}
    return own or published.examples()


def schemas() -> Schema:
    """Every component: the published schemas and the listings of this adapter."""
    components: Schema = {}
    for component, name in PUBLISHED.items():
        components.update(_components_of(component, published.schema(name)))
    components |= _plan_answer(components["SplicePlan"])
    text = resources.files("tuckmark.web").joinpath("listings.json").read_text(encoding="utf-8")
    components.update(json.loads(text))
    return components


def _plan_answer(plan: Schema) -> Schema:
    """A whole plan, or with ``fields`` the keys that were asked for."""
    excerpt = {
        "title": "PlanExcerpt",
        "description": "Some top-level keys of a plan, as fields chose them.",
        "type": "object",
        "required": sorted(ALWAYS_SHOWN),
        "properties": plan["properties"],
    }
    whole_or_excerpt = {
        "title": "PlanAnswer",
        "description": "The whole plan; with fields, the keys that were asked for; with the view "
        "marks, its marks.",
        "anyOf": [reference("SplicePlan"), reference("PlanExcerpt"), reference("MarkTable")],
    }
    marks = {
        "title": "MarkTable",
        "description": "The marks of a plan, all of them or those of one end or part.",
        "type": "object",
        "required": ["digest", "marks"],
        "properties": {name: plan["properties"][name] for name in ("digest", "marks")},
    }
    return {"PlanExcerpt": excerpt, "MarkTable": marks, "PlanAnswer": whole_or_excerpt}


def _components_of(component: str, schema: Schema) -> Schema:
    definitions = schema.get("$defs", {})
    names = {name: component + _camel(name) for name in definitions}
    own = {key: value for key, value in schema.items() if key not in ("$schema", "$id", "$defs")}
    found = {component: _titled(component, _renamed(own, names))}
    for name, definition in definitions.items():
        found[names[name]] = _titled(names[name], _renamed(definition, names))
    return found


def _titled(component: str, schema: Schema) -> Schema:
    """Named as the component: generators name types by title, and one document has two jobs."""
    return {**schema, "title": component}


def _renamed(value: Any, names: dict[str, str]) -> Any:
    """The same schema, its references leading to components."""
    if isinstance(value, list):
        return [_renamed(item, names) for item in value]
    if not isinstance(value, dict):
        return value
    return {
        key: _COMPONENT + names[item.removeprefix(_DEFINITION)]
        if key == "$ref" and isinstance(item, str)
        else _renamed(item, names)
        for key, item in value.items()
    }


def _camel(name: str) -> str:
    return "".join(part[:1].upper() + part[1:] for part in name.split("_"))
