"""What a page may load and do: nothing from elsewhere, in nobody's frame."""

from typing import Final

_NOTHING: Final = "default-src 'none'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
_OURS: Final = f"{_NOTHING}; style-src 'self'; font-src 'self'; img-src 'self' data:"

#: any HTML of ours; records carry their own style, to be whole when kept as a file
HTML: Final = _OURS.replace("style-src 'self'", "style-src 'self' 'unsafe-inline'")
#: a page to be read
READING: Final = (("Content-Security-Policy", _OURS), ("Referrer-Policy", "no-referrer"))
#: the page with the form, which has a script; only ``sheet`` may turn text into elements
FORM: Final = (
    (
        "Content-Security-Policy",
        f"{_OURS}; script-src 'self'; connect-src 'self'; "
        "require-trusted-types-for 'script'; trusted-types sheet",
    ),
    ("Referrer-Policy", "no-referrer"),
)
