"""What is wrong at one place of a document, put into words: one function a kind of fault."""

import re
from collections.abc import Sequence
from typing import Any, Final

from tuckmark import spelling
from tuckmark.document import Json
from tuckmark.faults import Fault, Scalar

_MAX_GIVEN: Final = 80
_NOTHING: Final = re.compile(
    r"0+(?:\.0*)?(?:\s*[A-Za-z]+(?:/[0-9]*[a-z]+)?(?:\s+0+(?:\.0*)?\s*in)?)?"
)
_EXACT_INTEGERS: Final = 2**53
_TYPE_WORDS: Final = {
    "object": "an object",
    "array": "a list",
    "string": "a text",
    "number": "a number",
    "integer": "a whole number",
    "boolean": "true or false",
    "null": "null",
}
_COUNTED: Final = {
    "minLength": "characters",
    "maxLength": "characters",
    "minItems": "entries",
    "maxItems": "entries",
    "maxProperties": "entries",
}


def is_number(value: Json) -> bool:
    """Whether a JSON value is a number; true and false are none."""
    return isinstance(value, int | float) and not isinstance(value, bool)


def _decimal(value: float) -> str:
    return f"{value:.6f}".rstrip("0").rstrip(".")


def shortened(text: str) -> str:
    """A text of up to 80 characters; a longer one ends in a sign that it was cut."""
    return text if len(text) <= _MAX_GIVEN else text[: _MAX_GIVEN - 1] + "\u2026"


def scalar(value: Json) -> Scalar:
    """What was given, as far as it may be echoed: a scalar, a text of up to 80 characters."""
    if isinstance(value, str):
        return shortened(value)
    if isinstance(value, int) and abs(value) > _EXACT_INTEGERS:  # readers of JSON disagree
        return float(value)
    return value if isinstance(value, int | float | bool) else None


def quantities(kind: str, units: Sequence[str], example: str) -> str:
    """What may stand where a quantity belongs, with one example: the grammar in a sentence.

    Args:
        kind: as the published schema names it.
        units: that it takes.
        example: a text of this kind.
    """
    *further, last = units
    least = {"temperature": "", "length_or_zero": " from 0"}.get(kind, " above 0")
    number = f"a number{least} (up to 7 digits and 6 decimals)"
    said = f"{number}, one space and {', '.join(further)} or {last}, such as {example}"
    if "ft" not in units:
        return said
    return f"{said}; a fraction with in or ft (5/8 in); feet and inches (12 ft 3 1/2 in)"


def zero_hint(given: str, kind: str) -> str | None:
    """What to do about a quantity of nothing, where it must be positive."""
    if kind != "temperature" and _NOTHING.fullmatch(given.strip()):
        return "Zero is not a size: give a positive figure, or leave the property out."
    return None


def missing(
    pointer: str, name: str, wanted: dict[str, Any], choice: tuple[str, str] | None
) -> Fault:
    """A property that is needed: always, or with the choice that was made."""
    because = f" (needed with {choice[0]} {choice[1]})" if choice and choice[1] else ""
    return Fault(
        pointer,
        "missing",
        f"{name} is missing{because}.",
        allowed=tuple(wanted["enum"]) if "enum" in wanted else None,
        hint=f"Add {name} here.",
    )


def unknown(pointer: str, name: str, parent: dict[str, Any]) -> Fault:
    """A property that there is not, with the one that was probably meant."""
    known = tuple(parent["properties"])
    return Fault(
        pointer,
        "unknown_property",
        f"There is no property of this name here: {name[:_MAX_GIVEN]}.",
        allowed=known,
        hint=spelling.did_you_mean(name, known),
    )


def exactly_one(pointer: str, branches: list[dict[str, Any]], given: Json) -> Fault:
    """None given, or several, where exactly one of some properties belongs."""
    names = tuple(branch["required"][0] for branch in branches)
    present = [name for name in names if name in given]
    if present:
        return Fault(
            pointer, "only_one_allowed",
            f"Only one of {', '.join(names)} may be given; here are {' and '.join(present)}.",
            allowed=names, hint=f"Leave out {' or '.join(present)}.",
        )  # fmt: skip
    return Fault(
        pointer, "one_needed", f"One of {', '.join(names)} is needed.",
        allowed=names, hint=f"Add one of {', '.join(names)}.",
    )  # fmt: skip


def simple(pointer: str, keyword: str, parent: dict[str, Any], given: Json) -> Fault:
    """Keywords that say all there is to say by themselves."""
    value = parent[keyword]
    shown = scalar(given)
    match keyword:
        case "type":
            wanted = _TYPE_WORDS[value]
            return Fault(
                pointer, "wrong_type", f"{wanted.capitalize()} is wanted here.", wanted, shown,
                _quotes_hint(parent.get("enum", ()), given),
            )  # fmt: skip
        case "enum":
            known = map(str, value)
            hint = spelling.did_you_mean(given, known) if isinstance(given, str) else None
            return Fault(
                pointer, "not_one_of", "This is not one of the values allowed here.",
                tuple(value), shown, hint,
            )  # fmt: skip
        case "minimum" | "exclusiveMinimum":
            bound = f"{'at least' if keyword == 'minimum' else 'more than'} {_decimal(value)}"
            return Fault(pointer, "too_small", f"This must be {bound}.", bound, shown)
        case "maximum":
            bound = f"at most {_decimal(value)}"
            return Fault(pointer, "too_large", f"This must be {bound}.", bound, shown)
        case "minLength" | "minItems":
            bound = f"at least {value} {_COUNTED[keyword]}"
            return Fault(pointer, "too_short", f"This must have {bound}.", bound, shown)
        case "maxLength" | "maxItems" | "maxProperties":
            bound = f"at most {value} {_COUNTED[keyword]}"
            return Fault(pointer, "too_long", f"This must have {bound}.", bound, shown)
        case "pattern":
            return Fault(
                pointer, "unprintable_text", "No control characters or line breaks here.",
                "one line of printable text", shown,
            )  # fmt: skip
    raise NotImplementedError(f"the published schema uses {keyword}, which has no wording")


def _quotes_hint(texts: Sequence[Json], given: Json) -> str | None:
    """That a text is wanted which reads like the number given: 1.0 for "1.0"."""
    if not is_number(given):
        return None
    text = str(float(given))
    return f'Write "{text}", with quotation marks.' if text in texts else None
