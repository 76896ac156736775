"""A long run: memory stays flat, every answer is right. A short form runs each time."""

import os
import time

import pytest

from . import figures
from .load import Case, Load
from .service import Service, running

#: what an interpreter's heap may still grow by once it is warm
_ROOM_KIB = 6 * 1024
_LONG_S = float(os.environ.get("TUCKMARK_SOAK_S", "1200"))


def soak(service: Service, given: tuple[Case, ...], seconds: float, warm_s: float) -> None:
    with Load(service.port, 16, given, 0.7) as load:
        time.sleep(warm_s)
        warm_kib, warm_requests = service.resident_kib(), load.tally.sent
        time.sleep(seconds)
        grown_kib = service.resident_kib() - warm_kib
    tally = load.tally
    figures.record(
        f"soak of {seconds:.0f} s",
        requests=tally.sent - warm_requests,
        memory_kib=warm_kib,
        grown_kib=grown_kib,
        lost=sum(tally.lost.values()),
        wrong=tally.wrong,
    )
    assert (tally.wrong, tally.refused, dict(tally.lost)) == (0, 0, {})
    assert tally.sent > warm_requests > 0
    assert grown_kib < _ROOM_KIB


def test_a_short_soak(given: tuple[Case, ...]) -> None:
    with running() as service:
        soak(service, given, seconds=8, warm_s=6)


@pytest.mark.soak
def test_a_long_soak(given: tuple[Case, ...]) -> None:
    with running() as service:
        soak(service, given, seconds=_LONG_S, warm_s=60)
