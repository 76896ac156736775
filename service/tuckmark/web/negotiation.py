"""Which of the offered media types a client wants most: ``Accept`` as in RFC 9110, 12.5.1."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

_WORD: Final = r"[!#$%&'*+.^_`|~0-9A-Za-z-]+"
_QUOTED: Final = r'"(?:[^"\\]|\\.)*"'
_RANGE: Final = re.compile(rf"\s*({_WORD})/({_WORD})((?:\s*;[^,\"]*(?:{_QUOTED}[^,\"]*)*)?)\s*\Z")
_PARAMETER: Final = re.compile(rf"\s*({_WORD})\s*=\s*({_WORD}|{_QUOTED})\s*\Z")
_WEIGHT: Final = re.compile(r"(?:0(?:\.[0-9]{0,3})?|1(?:\.0{0,3})?)\Z")
_ELEMENT: Final = re.compile(rf'(?:[^,"]|{_QUOTED})+')
_PIECE: Final = re.compile(rf'(?:[^;"]|{_QUOTED})+')
#: fields that are longer say nothing we could act on; reading them could take time without end
MOST_CHARACTERS: Final = 1000
#: what an offer says beside its type; texts are UTF-8, other types have no parameters
_PARAMETERS: Final[Mapping[str, str]] = {
    # RFC 9727, 4.2
    "application/linkset+json": 'profile="https://www.rfc-editor.org/info/rfc9727"',
}


@dataclass(frozen=True, slots=True)
class MediaType:
    """A media type, or a range of them where ``*`` stands for any."""

    type: str
    subtype: str
    parameters: frozenset[tuple[str, str]] = frozenset()

    @property
    def essence(self) -> str:
        """The type without its parameters."""
        return f"{self.type}/{self.subtype}"

    def parameter(self, name: str) -> str | None:
        """The value of a parameter, in lower case; None where it is absent."""
        return next((value for key, value in self.parameters if key == name), None)


@lru_cache(maxsize=64)
def media_type(text: str) -> MediaType | None:
    """Read ``type/subtype; name=value``; None where it is not one or a name stands twice."""
    match = _RANGE.match(text) if len(text) <= MOST_CHARACTERS else None
    if match is None:
        return None
    parameters: dict[str, str] = {}
    for piece in _PIECE.findall(match[3]):
        if not piece.strip():
            continue
        found = _PARAMETER.match(piece)
        if found is None or found[1].lower() in parameters:
            return None
        value = found[2]
        if value.startswith('"'):
            value = re.sub(r"\\(.)", r"\1", value[1:-1])
        parameters[found[1].lower()] = value.lower()
    return MediaType(match[1].lower(), match[2].lower(), frozenset(parameters.items()))


def is_json(offer: str) -> bool:
    """Whether an answer of this media type is one JSON value (RFC 6839: ``+json`` is)."""
    return offer == "application/json" or offer.endswith("+json")


def content_type(offer: str) -> str:
    """What ``Content-Type`` says of an answer in one of the offered media types."""
    parameters = "charset=utf-8" if offer.startswith("text/") else _PARAMETERS.get(offer)
    return f"{offer}; {parameters}" if parameters else offer


@lru_cache(maxsize=64)
def best(accept: str | None, offers: tuple[str, ...]) -> str | None:
    """The offered media type that an ``Accept`` field wants most.

    Args:
        accept: the field's value; None or blank means anything will do.
        offers: media types in the order we prefer them; all are UTF-8.

    Returns:
        One of ``offers``; None where the client refuses them all, or the field is longer than
        1,000 characters.
    """
    if accept is None or not accept.strip():
        return offers[0]
    if len(accept) > MOST_CHARACTERS:
        return None
    ranges = list(_ranges(accept))
    weights = [_weight(offer, ranges) for offer in offers]
    most = max(weights)
    return offers[weights.index(most)] if most > 0 else None


def _ranges(accept: str) -> Iterator[tuple[MediaType, float]]:
    """The elements that can be read; others say nothing we could act on."""
    for element in _ELEMENT.findall(accept):
        found = media_type(element)
        if found is None:
            continue
        weight = found.parameter("q") or "1"
        if _WEIGHT.match(weight):
            rest = frozenset(pair for pair in found.parameters if pair[0] != "q")
            yield MediaType(found.type, found.subtype, rest), float(weight)


def _weight(offer: str, ranges: list[tuple[MediaType, float]]) -> float:
    """The weight that the most specific matching range gives an offer."""
    said = media_type(content_type(offer))
    if said is None:
        raise ValueError(f"{offer!r} is no media type")
    implied = {("charset", "utf-8"), *said.parameters}
    best_so_far = (-1, 0.0)
    for wanted, weight in ranges:
        if wanted.parameters <= implied and _covers(wanted, said):
            wildcards = (wanted.type == "*") + (wanted.subtype == "*")
            specificity = 10 * (2 - wildcards) + len(wanted.parameters)
            best_so_far = max(best_so_far, (specificity, weight))
    return best_so_far[1]


def _covers(wanted: MediaType, said: MediaType) -> bool:
    if wanted.type == "*":
        return wanted.subtype == "*"
    return wanted.type == said.type and wanted.subtype in ("*", said.subtype)
