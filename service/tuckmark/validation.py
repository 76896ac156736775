"""A JSON value to every violation of a published schema, in document order.

One judge: the published schema, run by jsonschema-rs. When it says no, only the
failing places are looked at again, with jsonschema, to put into words what is
wrong there, what is allowed and what was probably meant.
"""

import re
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import TYPE_CHECKING, Any, Final

import jsonschema_rs
from msgspec import Struct

from tuckmark import spelling, units, wording
from tuckmark.document import Json, Path, Positions, pointer_to
from tuckmark.faults import Fault

if TYPE_CHECKING:
    import jsonschema

MAX_FAULTS: Final = 50
_QUANTITY_KINDS: Final[dict[str, units.Kind]] = {
    "length": "length",
    "length_or_zero": "length",
    "measured_length": "length",
    "limited_length": "length",
    "force": "force",
    "mass_per_length": "mass_per_length",
    "temperature": "temperature",
}


class Verdict(Struct, frozen=True):
    """What the judge said: all is well when ``count`` is 0.

    Attributes:
        faults: the first 50 violations, in document order.
        count: how many there are in all.
    """

    faults: tuple[Fault, ...]
    count: int


class _Finding(Struct, frozen=True):
    """One failing place: where in the document, which keyword of which subschema."""

    path: Path
    schema_path: Path
    name: str | None = None  # the property that is missing or unknown


class Judge:
    """Judges documents by one published schema.

    Args:
        schema: the bundled schema, without remote references.
    """

    def __init__(self, schema: dict[str, Any]) -> None:
        self._schema = schema
        self._fast = jsonschema_rs.Draft202012Validator(schema)

    @cached_property
    def _describing(self) -> "jsonschema.Draft202012Validator":
        import jsonschema

        return jsonschema.Draft202012Validator(self._schema)

    def accepts(self, document: Json) -> bool:
        """The bare verdict."""
        return self._fast.is_valid(document)

    def verdict(self, document: Json) -> Verdict:
        """The verdict with every violation found, the first 50 of them in words."""
        if self._fast.is_valid(document):
            return Verdict((), 0)
        findings = _told_once(list(dict.fromkeys(self._findings(document))))
        positions = Positions(document)
        findings.sort(key=lambda finding: positions.of(finding.path))
        faults = tuple(self._worded(finding, document) for finding in findings[:MAX_FAULTS])
        return Verdict(faults, len(findings))

    def _findings(self, document: Json) -> Iterator[_Finding]:
        for error in self._fast.iter_errors(document):
            for path in _paths(document, error.instance_path, error.instance):
                given = _at(document, path)
                yield from self._taken_apart(path, tuple(error.schema_path), given)

    def _taken_apart(self, path: Path, schema_path: Path, given: Json) -> Iterator[_Finding]:
        keyword = schema_path[-1]
        if keyword == "additionalProperties":
            known = _at(self._schema, schema_path[:-1])["properties"]
            for name in given:
                if name not in known:
                    yield _Finding((*path, name), schema_path, name)
        elif keyword == "required":
            for name in _at(self._schema, schema_path):
                if name not in given:
                    yield _Finding(path, schema_path, name)
        elif keyword == "anyOf" and isinstance(given, dict):
            # the quantity's object form: what is wrong with it, not that neither form fits
            form = _at(self._schema, schema_path)[1]
            definition = ("$defs", form["$ref"].rpartition("/")[2])
            for error in self._describing.descend(given, form):
                inner = tuple(key for key in error.schema_path if key != "$ref")
                yield from self._taken_apart(
                    (*path, *error.path), (*definition, *inner), error.instance
                )
        elif keyword != "oneOf" or isinstance(given, dict):  # else its type is the finding
            yield _Finding(path, schema_path)

    def _worded(self, finding: _Finding, document: Json) -> Fault:
        parent = _at(self._schema, finding.schema_path[:-1])
        keyword = str(finding.schema_path[-1])
        pointer = _pointer(finding.path)
        if finding.name is not None and keyword == "required":
            choice = self._choice(finding.schema_path)
            return wording.missing(pointer, finding.name, self._wanted(finding), choice)
        if finding.name is not None:
            return wording.unknown(pointer, finding.name, parent)
        given = _at(document, finding.path)
        if "propertyNames" in finding.schema_path:
            return Fault(pointer, "bad_name", "A name in here is empty, too long or unprintable.")
        if keyword == "not":
            return self._foreign(pointer, finding)
        if keyword == "oneOf":
            return wording.exactly_one(pointer, parent["oneOf"], given)
        if keyword == "anyOf":
            return self._quantity(pointer, parent, given)
        return wording.simple(pointer, keyword, parent, given)

    def _wanted(self, finding: _Finding) -> dict[str, Any]:
        """The schema of a missing property, wherever on the way to it that is told."""
        for end in range(len(finding.schema_path) - 1, -1, -1):
            schema = _at(self._schema, finding.schema_path[:end])
            found = (
                schema.get("properties", {}).get(finding.name) if "properties" in schema else None
            )
            if found:
                reference = found.get("$ref", "").rpartition("/")[2]
                return {**self._schema["$defs"].get(reference, {}), **found}
        return {}

    def _choice(self, schema_path: Path) -> tuple[str, str] | None:
        """The property and constant whose ``then`` branch a schema path runs through."""
        if "then" not in schema_path:
            return None
        last = len(schema_path) - 1 - schema_path[::-1].index("then")
        condition = _at(self._schema, (*schema_path[:last], "if"))
        for name, rule in condition["properties"].items():
            return (name, str(rule.get("const", "")))
        return None

    def _foreign(self, pointer: str, finding: _Finding) -> Fault:
        name = str(finding.path[-1])
        branch = _at(self._schema, finding.schema_path[:-2])  # the then-branch's properties
        choice = self._choice(finding.schema_path)
        if choice is None or not choice[1]:
            other = choice[0] if choice else "another property"
            return Fault(
                pointer, "only_one_allowed", f"{name} and {other} exclude each other.",
                hint=f"Leave out {name} or {other}.",
            )  # fmt: skip
        owner = _at(self._schema, _owner(finding.schema_path))
        allowed = tuple(key for key in owner["properties"] if "not" not in branch.get(key, {}))
        return Fault(
            pointer,
            "does_not_belong",
            f"{name} does not go with {choice[0]} {choice[1]}.",
            allowed=allowed,
            hint=f"Leave out {name}, or choose another {choice[0]}.",
        )

    def _quantity(self, pointer: str, parent: dict[str, Any], given: Json) -> Fault:
        kind = str(parent["title"])
        accepted = units.units_of(_QUANTITY_KINDS[kind])
        allowed = wording.quantities(kind, accepted, parent["examples"][0])
        if isinstance(given, str):
            text_form = self._describing.evolve(schema=parent["anyOf"][0])
            candidate = spelling.quantity(given, accepted, text_form.is_valid)
            return Fault(
                pointer,
                "not_a_quantity",
                f"Not a {kind.replace('_', ' ')}: write a number, one space and its unit.",
                allowed=allowed,
                given=wording.scalar(given),
                hint=f'Write "{candidate}".'
                if candidate
                else wording.zero_hint(given, kind) or spelling.advice(given, accepted),
            )
        return Fault(
            pointer,
            "wrong_type",
            f"A {kind.replace('_', ' ')} with its unit is wanted, as a text or an object.",
            allowed=allowed,
            given=wording.scalar(given),
            hint=f'Write the unit, such as "{given} {accepted[0]}".'
            if wording.is_number(given)
            else None,
        )


def _told_once(findings: list[_Finding]) -> list[_Finding]:
    """Without what only follows from another finding at the same place."""
    keywords: dict[Path, set[str | int]] = {}
    for finding in findings:
        keywords.setdefault(finding.path, set()).add(finding.schema_path[-1])

    def follows(finding: _Finding) -> bool:
        here, keyword = keywords[finding.path], finding.schema_path[-1]
        if "type" in here:
            return keyword != "type" and finding.name is None
        return keyword == "pattern" and "minLength" in here

    return [finding for finding in findings if not follows(finding)]


def _paths(value: Json, reported: Sequence[str | int], failing: Json) -> Iterator[Path]:
    """The paths an error may be about: the judge reports a name such as "007" as the index 7."""
    if not reported:
        yield ()
        return
    key, *rest = reported
    keys: list[str | int] = [key]
    if isinstance(value, dict) and isinstance(key, int):
        keys = [name for name in value if re.fullmatch(rf"\+?0*{key}", name)]
        if len(keys) > 1 and not rest:
            keys = [name for name in keys if value[name] == failing]
    for name in keys:
        for tail in _paths(value[name], rest, failing):
            yield (name, *tail)


def _at(value: Any, path: Path) -> Any:
    for key in path:
        value = value[key]
    return value


def _owner(schema_path: Path) -> Path:
    """The object schema whose ``allOf`` a path runs through first."""
    return schema_path[: schema_path.index("allOf")]


def _pointer(path: Path) -> str:
    pointer = ""
    for key in path:
        pointer = pointer_to(pointer, key)
    return pointer
