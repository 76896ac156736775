"""The splice families, in the order they are listed to users: the one literal registry."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from tuckmark.families import (
    end_to_end_bury,
    endless_bury_loop,
    locked_bury_eye,
    plain,
    straight_bury_eye,
)
from tuckmark.families.base import Family

REGISTRY: Final[Mapping[str, Family]] = MappingProxyType(
    {
        family.name: family
        for family in (
            locked_bury_eye.FAMILY,
            straight_bury_eye.FAMILY,
            end_to_end_bury.FAMILY,
            endless_bury_loop.FAMILY,
            plain.FAMILY,
        )
    }
)
