"""Regular ABNF to a pattern that every JSON Schema engine reads alike.

RFC 5234 with RFC 7405's case-sensitive strings, for grammars without
recursion. The result uses only literals, classes, groups and bounded
repeats, and ends in a look-ahead that no trailing newline passes (``$`` differs
between engines).
"""

import re
from collections.abc import Mapping

_RULE = re.compile(r"^([A-Za-z][A-Za-z0-9-]*)\s*=\s*(.*)$")
_TOKEN = re.compile(
    r"""\s*(?:
      (?P<string>(?:%s)?"[^"]*")
    | %x(?P<first>[0-9A-F]{2})(?:-(?P<last>[0-9A-F]{2}))?
    | (?P<repeat>[0-9]*\*[0-9]+|[0-9]+)
    | (?P<name>[A-Za-z][A-Za-z0-9-]*)
    | (?P<sign>[/()\[\]])
    )""",
    re.VERBOSE,
)


#: the core rules of RFC 5234, B.1 that are used here
_CORE = {"DIGIT": "%x30-39", "SP": "%x20"}


class GrammarError(ValueError):
    """The grammar uses something outside the regular part of ABNF that is read here."""


def rules(text: str) -> dict[str, str]:
    """Split a grammar into its rules, comments removed and continuations joined.

    Raises:
        GrammarError: a line is no rule, or a rule is given twice (their names have no case).
    """
    found = dict(_CORE)
    name = ""
    for line in text.splitlines():
        code = line.split(";", 1)[0].rstrip()
        if not code:
            continue
        if code[0].isspace():
            found[name] += " " + code.strip()
            continue
        match = _RULE.match(code)
        if match is None or match[1].lower() in {known.lower() for known in found}:
            raise GrammarError(f"not one new rule: {line!r}")
        name = match[1]
        found[name] = match[2]
    return found


def pattern(grammar: Mapping[str, str], rule: str) -> str:
    """The anchored pattern of one rule."""
    return f"^{_Reader(grammar, rule, ()).group()}(?![\\s\\S])"


def _escaped(text: str) -> str:
    # not re.escape: it also escapes the space, which ECMAScript's unicode mode refuses
    return "".join("\\" + letter if letter in r"\.^$*+?{}[]|()" else letter for letter in text)


class _Reader:
    """Recursive descent over one rule's text."""

    def __init__(self, grammar: Mapping[str, str], rule: str, inside: tuple[str, ...]) -> None:
        if rule not in grammar:
            raise GrammarError(f"no rule named {rule}")
        if rule in inside:
            raise GrammarError(f"{rule} contains itself: not regular")
        self._grammar = grammar
        self._inside = (*inside, rule)
        self._tokens = self._split(grammar[rule])
        self._at = 0

    @staticmethod
    def _split(text: str) -> list[re.Match[str]]:
        tokens: list[re.Match[str]] = []
        at = 0
        while at < len(text):
            match = _TOKEN.match(text, at)
            if match is None:
                raise GrammarError(f"cannot read {text[at:]!r}")
            tokens.append(match)
            at = match.end()
        return tokens

    def group(self) -> str:
        """The whole rule as one group, or bare where it needs none."""
        alternatives = self._alternatives()
        if self._at != len(self._tokens):
            raise GrammarError(f"unbalanced brackets in {self._inside[-1]}")
        return alternatives

    def _alternatives(self) -> str:
        options = [self._sequence()]
        while self._sign("/"):
            options.append(self._sequence())
        return options[0] if len(options) == 1 else f"(?:{'|'.join(options)})"

    def _sequence(self) -> str:
        parts: list[str] = []
        while self._at < len(self._tokens) and self._peek_sign() not in ("/", ")", "]"):
            parts.append(self._element())
        if not parts:
            raise GrammarError(f"empty alternative in {self._inside[-1]}")
        return "".join(parts)

    def _element(self) -> str:
        token = self._next()
        if token["repeat"]:
            return self._repeated(token["repeat"])
        if token["string"]:
            return self._literal(token["string"])
        if token["first"]:
            first, last = chr(int(token["first"], 16)), token["last"]
            return f"[{first}-{chr(int(last, 16))}]" if last else _escaped(first)
        if token["name"]:
            return _Reader(self._grammar, token["name"], self._inside).group()
        closing = {"(": ")", "[": "]"}[token["sign"]]
        inner = self._alternatives()
        if not self._sign(closing):
            raise GrammarError(f"no {closing} in {self._inside[-1]}")
        return f"(?:{inner})?" if closing == "]" else inner

    def _repeated(self, count: str) -> str:
        least, star, most = count.partition("*")
        element = self._element()
        if len(element) > 1 and not re.fullmatch(r"\[[^\]]*\]", element):
            element = f"(?:{element})"
        return f"{element}{{{least or '0'},{most}}}" if star else f"{element}{{{least}}}"

    @staticmethod
    def _literal(token: str) -> str:
        text = token.removeprefix("%s").strip('"')
        if not token.startswith("%s") and any(letter.isalpha() for letter in text):
            raise GrammarError(f"{token} would match either case: write %s{token}")
        return _escaped(text)

    def _peek_sign(self) -> str | None:
        return self._tokens[self._at]["sign"]

    def _sign(self, wanted: str) -> bool:
        if self._at < len(self._tokens) and self._peek_sign() == wanted:
            self._at += 1
            return True
        return False

    def _next(self) -> re.Match[str]:
        self._at += 1
        return self._tokens[self._at - 1]
