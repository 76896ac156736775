"""The splice families, in the order they are listed to users: the one literal registry."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from tuckmark.families import (
    back_splice,
    core_bury_eye,
    cover_core_end_to_end,
    cover_core_eye,
    end_to_end_bury,
    endless_bury_loop,
    interlocked_eye,
    locked_bury_eye,
    long_splice,
    plain,
    plaited_end_to_end,
    plaited_eye,
    straight_bury_eye,
    tucked_eye,
    tucked_eye_12,
    tucked_short,
)
from tuckmark.families.base import Family

REGISTRY: Final[Mapping[str, Family]] = MappingProxyType(
    {
        family.name: family
        for family in (
            locked_bury_eye.FAMILY,
            straight_bury_eye.FAMILY,
            interlocked_eye.FAMILY,
            end_to_end_bury.FAMILY,
            endless_bury_loop.FAMILY,
            tucked_eye_12.FAMILY,
            cover_core_eye.FAMILY,
            cover_core_end_to_end.FAMILY,
            core_bury_eye.FAMILY,
            tucked_eye.FAMILY,
            tucked_short.FAMILY,
            long_splice.FAMILY,
            back_splice.FAMILY,
            plaited_eye.FAMILY,
            plaited_end_to_end.FAMILY,
            plain.FAMILY,
        )
    }
)
