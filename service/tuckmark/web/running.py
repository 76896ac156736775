"""What the application is told about the place it runs in: keys, meters, and when to stop."""

import os
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, get_args

from tuckmark.settings import SettingError
from tuckmark.web.keys import KeyRing
from tuckmark.web.meters import Meters
from tuckmark.web.table import OpenGroup

#: under this name an application keeps what it was told
EXTENSION: Final = "tuckmark"
GROUPS: Final[frozenset[str]] = frozenset(get_args(OpenGroup))
_MAX_DRAIN_S: Final = 600.0


def _never() -> bool:
    return False


@dataclass(frozen=True, slots=True)
class Running:
    """One running service.

    Attributes:
        keys: who may ask; None lets everybody in.
        open_groups: operations that need no key even so.
        meters: what counts the answers.
        stopping: whether the service is about to stop.
    """

    keys: KeyRing | None = None
    open_groups: frozenset[str] = GROUPS
    meters: Meters = field(default_factory=Meters)
    stopping: Callable[[], bool] = _never


def from_environment(
    environment: Mapping[str, str] = os.environ, stopping: Callable[[], bool] = _never
) -> Running:
    """The service as ``TUCKMARK_KEYS_FILE`` and ``TUCKMARK_OPEN`` want it.

    Raises:
        SettingError: a setting cannot be followed; to go on without it could let anyone in.
    """
    path = environment.get("TUCKMARK_KEYS_FILE")
    groups = GROUPS
    if (text := environment.get("TUCKMARK_OPEN")) is not None:
        groups = frozenset(text.replace(",", " ").split())
        if unknown := groups - GROUPS:
            known = ", ".join(sorted(GROUPS))
            raise SettingError(f"TUCKMARK_OPEN: {', '.join(sorted(unknown))} is none of {known}")
    keys = KeyRing(Path(path)) if path else None
    return Running(keys=keys, open_groups=groups, stopping=stopping)


def drain_s(environment: Mapping[str, str] = os.environ) -> float:
    """How long to go on serving after being told to stop: ``TUCKMARK_DRAIN_S``, 0 by default.

    Raises:
        SettingError: not a number of seconds from 0 to 600.
    """
    text = environment.get("TUCKMARK_DRAIN_S", "0")
    try:
        seconds = float(text)
    except ValueError:
        seconds = -1.0
    if not 0 <= seconds <= _MAX_DRAIN_S:
        raise SettingError(f"TUCKMARK_DRAIN_S: {text!r} is not a number of seconds from 0 to 600")
    return seconds
