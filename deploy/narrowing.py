"""Whether a JSON Schema takes more or less than an earlier one did, keyword by keyword.

Knows the keywords that the published schemas use. A change that it cannot judge is told as
``unknown``, which nobody may take for harmless.
"""

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Final, Literal

Schema = dict[str, Any]
Effect = Literal["narrower", "wider", "unknown"]

_WORDS: Final = frozenset({"title", "description", "examples", "default", "$comment", "$defs"})
_LOWER: Final = ("minimum", "exclusiveMinimum", "minLength", "minItems", "minProperties")
_UPPER: Final = ("maximum", "exclusiveMaximum", "maxLength", "maxItems", "maxProperties")
_MISSING: Final = object()


@dataclass(frozen=True, slots=True)
class Change:
    """One difference between two schemas.

    Attributes:
        place: keys from the top of the schema, ``/`` between.
        what: the difference in words.
        effect: whether fewer documents are accepted, more, or nobody can say.
    """

    place: str
    what: str
    effect: Effect


class Comparison:
    """Compares places of two documents, whose references lead into these documents.

    Args:
        old: the earlier document, in which references are resolved.
        new: the later one.
    """

    def __init__(self, old: Schema, new: Schema) -> None:
        self._documents = (old, new)
        self._seen: set[tuple[str, str]] = set()

    def changes(self, old: Schema, new: Schema, place: str = "") -> Iterator[Change]:
        """Every change from one schema to the other."""
        both = json.dumps(old, sort_keys=True), json.dumps(new, sort_keys=True)
        if both in self._seen:  # a schema that holds itself, or one that is used twice
            return
        self._seen.add(both)
        old, new = (self._resolved(n, schema) for n, schema in enumerate((old, new)))
        for keyword in dict.fromkeys([*old, *new]):
            if keyword in _WORDS:
                continue
            judge = _JUDGES.get(keyword, Comparison._unknown)
            yield from judge(self, keyword, old, new, place)

    def _resolved(self, n: int, schema: Schema) -> Schema:
        while "$ref" in schema:
            found: Any = self._documents[n]
            for key in schema["$ref"].removeprefix("#/").split("/"):
                found = found[key]
            schema = {**found, **{key: value for key, value in schema.items() if key != "$ref"}}
        return schema

    def _unknown(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        if old.get(keyword, _MISSING) != new.get(keyword, _MISSING):
            yield Change(f"{place}/{keyword}", "changed", "unknown")

    def _bound(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        before, after = old.get(keyword), new.get(keyword)
        if before != after:
            raised = before is None or (after is not None and after > before)
            lowered = before is None or (after is not None and after < before)
            narrower = raised if keyword in _LOWER else lowered
            effect: Effect = "narrower" if narrower else "wider"
            yield Change(f"{place}/{keyword}", f"{before} -> {after}", effect)

    def _pattern(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        if old.get(keyword) != new.get(keyword):
            effect: Effect = (
                "wider" if keyword not in new else "narrower" if keyword not in old else "unknown"
            )
            yield Change(f"{place}/{keyword}", "changed", effect)

    def _type(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        before, after = _types(old), _types(new)
        if before is None or after is None:
            if before != after:
                yield Change(f"{place}/{keyword}", "changed", "wider" if before else "narrower")
            return
        for name in sorted(before - after):
            yield Change(f"{place}/{keyword}", f"no longer {name}", "narrower")
        for name in sorted(after - before):
            yield Change(f"{place}/{keyword}", f"also {name}", "wider")

    def _values(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        if keyword not in old or keyword not in new:
            effect: Effect = "wider" if keyword in old else "narrower"
            yield Change(f"{place}/{keyword}", "changed", effect)
            return
        before, after = (list(map(json.dumps, schema[keyword])) for schema in (old, new))
        for value in before:
            if value not in after:
                yield Change(f"{place}/{keyword}", f"no longer {value}", "narrower")
        for value in after:
            if value not in before:
                yield Change(f"{place}/{keyword}", f"also {value}", "wider")

    def _required(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        before, after = (schema.get(keyword, []) for schema in (old, new))
        for name in before:
            if name not in after:
                yield Change(f"{place}/{keyword}", f"{name} may be left out", "wider")
        for name in after:
            if name not in before:
                yield Change(f"{place}/{keyword}", f"{name} is needed", "narrower")

    def _properties(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        before, after = (schema.get(keyword, {}) for schema in (old, new))
        for name in dict.fromkeys([*before, *after]):
            here = f"{place}/{keyword}/{name}"
            if name in before and name in after:
                yield from self.changes(before[name], after[name], here)
            elif name in before:
                yield Change(here, "gone", "narrower" if _closed(new) else "wider")
            else:
                yield Change(here, "new", "wider" if _closed(old) else "narrower")

    def _further(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        before, after = (schema.get(keyword, True) for schema in (old, new))
        if isinstance(before, dict) and isinstance(after, dict):
            yield from self.changes(before, after, f"{place}/{keyword}")
        elif before != after:
            opened = before is False or after is True
            yield Change(f"{place}/{keyword}", "changed", "wider" if opened else "narrower")

    def _inner(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        if keyword in old and keyword in new:
            yield from self.changes(old[keyword], new[keyword], f"{place}/{keyword}")
        else:
            effect: Effect = "wider" if keyword in old else "narrower"
            yield Change(f"{place}/{keyword}", "changed", effect)

    def _branches(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        before, after = (schema.get(keyword, []) for schema in (old, new))
        for n, (one, other) in enumerate(zip(before, after, strict=False)):
            yield from self.changes(one, other, f"{place}/{keyword}/{n}")
        if len(before) != len(after):
            grown: Effect = "wider" if len(after) > len(before) else "narrower"
            effect = grown if keyword == "anyOf" and before and after else "unknown"
            yield Change(f"{place}/{keyword}", f"{len(before)} -> {len(after)} branches", effect)

    def _choices(self, keyword: str, old: Schema, new: Schema, place: str) -> Iterator[Change]:
        before, after = (_by_condition(schema.get(keyword, [])) for schema in (old, new))
        for condition in dict.fromkeys([*before, *after]):
            here = f"{place}/{keyword}/{condition}"
            if condition not in after:
                yield Change(here, "gone", "wider")
            elif condition in before:
                yield from self._rule(before[condition], after[condition], old, here)
            elif not _of_a_new_choice(after[condition], old):
                yield Change(here, "new", "narrower")

    def _rule(self, old: Schema, new: Schema, owner: Schema, place: str) -> Iterator[Change]:
        """What follows from one condition; ``owner`` is the earlier object it is about."""
        if "if" not in old:
            yield from self.changes(old, new, place)
            return
        forbidding = new["then"].get("properties", {})
        known = {
            name: rule
            for name, rule in forbidding.items()
            # what no earlier document could hold is no loss where it is refused
            if name in owner.get("properties", {}) or not _closed(owner)
        }
        yield from self.changes(
            old["then"], {**new["then"], "properties": known} if forbidding else new["then"], place
        )


def _types(schema: Schema) -> set[str] | None:
    given = schema.get("type")
    if given is None:
        return None
    types = {given} if isinstance(given, str) else set(given)
    return types | {"integer"} if "number" in types else types


def _closed(schema: Schema) -> bool:
    return schema.get("additionalProperties") is False


def _by_condition(branches: list[Schema]) -> dict[str, Schema]:
    """Branches by what they hang on; those that hang on nothing by their place."""
    free = (f"rule {n}" for n in range(len(branches)))
    return {
        _condition(branch["if"]) if "if" in branch else next(free): branch for branch in branches
    }


def _condition(schema: Schema) -> str:
    names = schema.get("properties", {})
    return " and ".join(
        f"{name} is {rule['const']}" if "const" in rule else f"{name} of {json.dumps(rule)}"
        for name, rule in names.items()
    )


def _of_a_new_choice(branch: Schema, owner: Schema) -> bool:
    """Whether no earlier document can meet the branch's condition."""
    if "if" not in branch or not _closed(owner):
        return False
    for name in branch["if"].get("required", []):
        if name not in owner["properties"]:
            return True
        known = owner["properties"][name].get("enum")
        wanted = branch["if"]["properties"].get(name, {}).get("const", _MISSING)
        if known and wanted is not _MISSING and wanted not in known:
            return True
    return False


Judge = Callable[[Comparison, str, Schema, Schema, str], Iterator[Change]]
_JUDGES: Final[Mapping[str, Judge]] = {
    **dict.fromkeys((*_LOWER, *_UPPER), Comparison._bound),
    "pattern": Comparison._pattern,
    "not": Comparison._pattern,
    "type": Comparison._type,
    "enum": Comparison._values,
    "required": Comparison._required,
    "properties": Comparison._properties,
    "additionalProperties": Comparison._further,
    "items": Comparison._inner,
    "propertyNames": Comparison._inner,
    "anyOf": Comparison._branches,
    "oneOf": Comparison._branches,
    "allOf": Comparison._choices,
}
