"""What our pages may load and do beyond what any answer may."""

from typing import Final

from tuckmark.web.headers import PAGE

#: a page to be read
READING: Final = (("Content-Security-Policy", PAGE),)
#: the page with the form, which has a script; only ``sheet`` may turn text into elements
FORM: Final = (
    (
        "Content-Security-Policy",
        f"{PAGE}; script-src 'self'; connect-src 'self'; "
        "require-trusted-types-for 'script'; trusted-types sheet",
    ),
)
