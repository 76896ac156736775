"""Every operation of the service: one row each, a module for each group.

This table is the only list of routes. The application registers, checks and
negotiates by it; the OpenAPI document is written from it.
"""

from collections.abc import Mapping
from typing import Final

from tuckmark.web.operations import documents, orders, plans, reference, running
from tuckmark.web.table import Operation

#: what operations are grouped by
TAGS: Final[Mapping[str, str]] = {
    "plans": "A splice spec goes in, a plan comes out.",
    "as_built": "What was measured comes back, so that the next splice comes out truer.",
    "orders": "Many specs at once, and the reels to cut for them.",
    "reference": "What is planned, on which figures, from which sources.",
    "documents": "The published schemas, the grammar of quantities and this description.",
    "running": "Whether the service is up, and what its codes mean.",
}

OPERATIONS: Final[tuple[Operation, ...]] = (
    *plans.ROWS,
    *orders.ROWS,
    *reference.ROWS,
    *documents.ROWS,
    *running.ROWS,
)
