"""Builds the published documents from their sources: run by ``deploy/build``, never at run time.

The spec schema is one base document, one fragment a splice family, and the
quantity patterns generated from the published grammar.
"""

import copy
import json
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, Final

from tuckmark import abnf
from tuckmark.units import Kind, units_of

Schema = dict[str, Any]

_MOST_DIGITS: Final = 9_999_999.999999
_LEAST_STEP: Final = 0.000001

#: $defs name -> (grammar rule, kind, least value of the object form, examples)
_QUANTITIES: Final[dict[str, tuple[str, Kind, float, list[Any]]]] = {
    "length": ("length", "length", _LEAST_STEP, ["24 mm", "5/8 in", {"value": 24, "unit": "mm"}]),
    "length_or_zero": ("length-or-zero", "length", 0, ["0 mm", "300 mm"]),
    "force": ("force", "force", _LEAST_STEP, ["40 kN", {"value": 9000, "unit": "lbf"}]),
    "mass_per_length": ("mass-per-length", "mass_per_length", _LEAST_STEP, ["0.29 kg/m"]),
    "temperature": ("temperature", "temperature", -_MOST_DIGITS, ["30 degC", "-20 degF"]),
}


def read_json(path: Path) -> Any:
    """One source document."""
    return json.loads(path.read_text(encoding="utf-8"))


def quantity_definitions(grammar_text: str) -> Schema:
    """The ``$defs`` of every kind of quantity: text form, object form, either."""
    grammar = abnf.rules(grammar_text)
    definitions: Schema = {}
    for name, (rule, kind, least, examples) in _QUANTITIES.items():
        units = list(units_of(kind))
        text_examples = [example for example in examples if isinstance(example, str)]
        number = text_examples[0].split(" ")
        definitions[name] = {
            "title": name,
            "description": f"A quantity: a number, one space and a unit ({', '.join(units)}), "
            "or the same as an object.",
            "examples": examples,
            "anyOf": [{"$ref": f"#/$defs/{name}_text"}, {"$ref": f"#/$defs/{name}_object"}],
        }
        definitions[f"{name}_text"] = {
            "title": f"{name}_text",
            "description": f"As in quantity.abnf, rule {rule}.",
            "examples": text_examples,
            "type": "string",
            "minLength": 3,
            "maxLength": 40,
            "pattern": abnf.pattern(grammar, rule),
        }
        definitions[f"{name}_object"] = {
            "title": f"{name}_object",
            "description": "The same quantity as a number and a unit.",
            "examples": [{"value": float(number[0]), "unit": number[1]}],
            "type": "object",
            "required": ["value", "unit"],
            "additionalProperties": False,
            "properties": {
                "value": {
                    "title": "value",
                    "description": "The number.",
                    "examples": [float(number[0])],
                    "type": "number",
                    "minimum": least,
                    "maximum": _MOST_DIGITS,
                },
                "unit": {
                    "title": "unit",
                    "description": "The unit.",
                    "examples": [number[1]],
                    "type": "string",
                    "enum": units,
                },
            },
        }
    definitions |= _with_tolerance(
        definitions,
        "measured_length",
        "A measured length",
        "How far off it may be, either way; without it half of the last digit.",
    )
    definitions |= _with_tolerance(
        definitions,
        "limited_length",
        "A length to be made",
        "How far the finished piece may be off, either way; without it nothing is said of that.",
    )
    return definitions


def _with_tolerance(definitions: Schema, name: str, what: str, meaning: str) -> Schema:
    """A length whose object form takes a tolerance, and what that tolerance means."""
    example = {"value": 230, "unit": "mm", "tolerance": 2}
    given = copy.deepcopy(definitions["length_object"])
    given["title"] = f"{name}_object"
    given["description"] += " Beside it a tolerance in the same unit."
    given["examples"] = [example]
    given["properties"]["tolerance"] = {
        "title": "tolerance",
        "description": meaning,
        "examples": [2],
        "type": "number",
        "minimum": _LEAST_STEP,
        "maximum": _MOST_DIGITS,
    }
    return {
        name: {
            "title": name,
            "description": f"{what}, as a text or as an object with its tolerance.",
            "examples": ["230 mm", example],
            "anyOf": [{"$ref": "#/$defs/length_text"}, {"$ref": f"#/$defs/{name}_object"}],
        },
        f"{name}_object": given,
    }


def spec_schema(base: Schema, grammar_text: str, fragments: Iterable[Schema]) -> Schema:
    """The bundled spec schema: every family's fragment folded into the one flat ``end``.

    Args:
        base: the document without families and quantities.
        grammar_text: ``quantity.abnf``.
        fragments: one a family, in the order they are listed to users. ``place`` is ``end``
            or ``join``, ``properties`` names what goes with the family, ``required`` what it
            needs, ``define`` (optional) adds properties that no other family has.
    """
    schema = copy.deepcopy(base)
    chosen = list(fragments)
    for place in ("end", "join"):
        _fold_in(schema["$defs"][place], [f for f in chosen if f["place"] == place])
    schema["$defs"].update(quantity_definitions(grammar_text))
    return schema


def bundled(base: Schema, defined: Mapping[str, Schema]) -> Schema:
    """A document with every definition it needs from others, so that it refers to nothing outside.

    Args:
        base: its own document; ``#/$defs/{name}`` leads to its own definitions first.
        defined: the definitions that may be taken over, by their names.

    Raises:
        KeyError: a reference leads to no definition.
    """
    schema = copy.deepcopy(base)
    definitions: Schema = schema.setdefault("$defs", {})
    wanted = list(_references(schema))
    while wanted:
        name = wanted.pop(0)
        if name not in definitions:
            definitions[name] = copy.deepcopy(defined[name])
            wanted += _references(definitions[name])
    return schema


def definitions_of(schema: Schema, name: str) -> Schema:
    """A whole document as one definition, beside those it refers to."""
    whole = {key: value for key, value in schema.items() if key not in ("$schema", "$id", "$defs")}
    return {**schema["$defs"], name: whole}


def _references(schema: Any) -> Iterator[str]:
    if isinstance(schema, list):
        for item in schema:
            yield from _references(item)
    if isinstance(schema, dict):
        for key, item in schema.items():
            if key == "$ref" and isinstance(item, str):
                yield item.removeprefix("#/$defs/")
            else:
                yield from _references(item)


def _fold_in(place: Schema, fragments: list[Schema]) -> None:
    """All families of one place into its one flat object: a choice of ``splice``, closed each."""
    for fragment in fragments:
        place["properties"].update(copy.deepcopy(fragment.get("define", {})))
    names = list(place["properties"])
    splice = {
        "title": "splice",
        "description": "; ".join(f"{f['family']}: {f['title']}" for f in fragments) + ".",
        "examples": [fragments[0]["family"]],
        "type": "string",
        "enum": [fragment["family"] for fragment in fragments],
    }
    place["properties"] = {"splice": splice, **place["properties"]}
    place["allOf"] += [_choice(fragment, names) for fragment in fragments]


def _choice(fragment: Schema, names: list[str]) -> Schema:
    foreign = [name for name in names if name not in fragment["properties"]]
    required = fragment["required"]
    then: Schema = {
        "type": "object",
        "properties": {name: {} for name in required} | {name: {"not": {}} for name in foreign},
    }
    if required:
        then["required"] = required
    constant = {"splice": {"const": fragment["family"]}}
    return {"if": {"type": "object", "required": ["splice"], "properties": constant}, "then": then}
