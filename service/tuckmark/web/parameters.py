"""Query parameters: unknown, repeated and unreadable ones are refused, all at once."""

import re
from collections.abc import Iterable, Sequence
from typing import Any

from tuckmark import spelling
from tuckmark.web.problems import Item, ProblemError, parameter_item
from tuckmark.web.table import Parameter


def read(pairs: Iterable[tuple[str, str]], known: Sequence[Parameter]) -> dict[str, Any]:
    """The values of a query by name.

    Args:
        pairs: names and values as they were given, in order.
        known: the parameters that the operation takes.

    Raises:
        ProblemError: ``parameter_invalid``, with one item for each thing wrong.
    """
    by_name = {parameter.name: parameter for parameter in known}
    values: dict[str, Any] = {}
    errors: list[Item] = []
    for name, text in pairs:
        if name not in by_name:
            detail = "This operation takes no parameter of this name."
            allowed = tuple(by_name)
            hint = spelling.did_you_mean(name, allowed)
            errors.append(
                parameter_item(name, "unknown_parameter", detail, allowed=allowed, hint=hint)
            )
        elif name in values:
            detail = "A parameter may be given once."
            errors.append(parameter_item(name, "repeated_parameter", detail, given=text))
        else:
            values[name] = _value(text, by_name[name], errors)
    if errors:
        detail = f"{errors[0]['parameter']}: {errors[0]['detail']}"
        raise ProblemError("parameter_invalid", detail, errors)
    return values


def _value(text: str, parameter: Parameter, errors: list[Item]) -> Any:
    if parameter.kind == "integer":
        return _integer(text, parameter, errors)
    if parameter.kind == "pattern":
        if not re.fullmatch(parameter.pattern, text):
            errors.append(_not_like(text, parameter))
        return text
    if parameter.kind == "choices":
        return _choices(text, parameter, errors)
    if text not in parameter.allowed:
        errors.append(_not_one_of(text, parameter))
    elif parameter.kind == "number":
        return int(text)
    return text


def _choices(text: str, parameter: Parameter, errors: list[Item]) -> tuple[str, ...]:
    values = tuple(text.split(","))
    errors.extend(
        _not_one_of(value, parameter) for value in values if value not in parameter.allowed
    )
    for value in dict.fromkeys(value for value in values if values.count(value) > 1):
        detail = "Each name may stand here once."
        errors.append(parameter_item(parameter.name, "repeated_value", detail, given=value))
    return values


def _integer(text: str, parameter: Parameter, errors: list[Item]) -> int:
    allowed = parameter.range or f"{parameter.least} to {parameter.most}"
    digits = len(str(parameter.most))
    if not (text.isascii() and text.isdigit() and len(text) <= digits):
        detail = f"A whole number from {allowed} is wanted."
        errors.append(
            parameter_item(parameter.name, "wrong_type", detail, allowed=allowed, given=text)
        )
        return parameter.least
    value = int(text)
    if not parameter.least <= value <= parameter.most:
        code = "too_small" if value < parameter.least else "too_large"
        detail = f"This must be from {allowed}."
        errors.append(parameter_item(parameter.name, code, detail, allowed=allowed, given=text))
    return value


def _not_like(text: str, parameter: Parameter) -> Item:
    allowed = f"such as {parameter.example}"
    return parameter_item(
        parameter.name, "wrong_type", parameter.description, allowed=allowed, given=text
    )


def _not_one_of(text: str, parameter: Parameter) -> Item:
    detail = "This is not one of the values allowed here."
    return parameter_item(
        parameter.name,
        "not_one_of",
        detail,
        allowed=parameter.allowed,
        given=text,
        hint=spelling.did_you_mean(text, parameter.allowed),
    )
