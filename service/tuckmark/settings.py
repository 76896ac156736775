"""What whoever runs the service sets in its environment."""

import os
import re
from typing import Final

_PUBLIC_URL: Final = "TUCKMARK_PUBLIC_URL"
_URL: Final = re.compile(r"https?://[A-Za-z0-9.\[\]:-]{1,253}(?:/[A-Za-z0-9._~/-]{0,100})?")


class SettingError(ValueError):
    """A setting that cannot be what was meant; the text says which, and what is wanted."""


def public_url() -> str | None:
    """Where clients outside reach the service, for addresses on paper; None where not set.

    Raises:
        SettingError: it is set to something else than an http or https address.
    """
    given = os.environ.get(_PUBLIC_URL, "").strip().rstrip("/")
    if given and not _URL.fullmatch(given):
        raise SettingError(
            f"{_PUBLIC_URL} must be an http or https address such as https://plans.example, "
            f"not {given!r}"
        )
    return given or None
