"""Links that lead from any answer to what explains it (RFC 8288, RFC 8631), and their catalogue.

References are relative: whatever address the service is reached by, they lead back to it.
"""

from collections.abc import Mapping
from typing import Any, Final

from tuckmark.web.components import PUBLISHED

CATALOG: Final = "/.well-known/api-catalog"
DESCRIPTION: Final = "/openapi.json"
REFERENCE_PAGE: Final = "/docs"
STATUS: Final = "/readyz"

_JSON: Final = "application/json"
#: relation -> where it leads and what is found there
_EVERYWHERE: Final[Mapping[str, tuple[str, str]]] = {
    "service-desc": (DESCRIPTION, _JSON),
    "service-doc": (REFERENCE_PAGE, "text/html"),
    "status": (STATUS, _JSON),
    "api-catalog": (CATALOG, "application/linkset+json"),
}
_LINKS: Final = ", ".join(
    f'<{target}>; rel="{relation}"; type="{media_type}"'
    for relation, (target, media_type) in _EVERYWHERE.items()
)
#: component of an answer -> the published schema it keeps
_SCHEMA_OF: Final[Mapping[str, str]] = {**PUBLISHED, "PlanAnswer": "splice-plan"}


def described_by(component: str | None) -> str | None:
    """Link to the published schema of an answer; None where it has none of its own."""
    name = _SCHEMA_OF.get(component or "")
    if name is None:
        return None
    return f'</schema/v1/{name}.json>; rel="describedby"; type="application/schema+json"'


def everywhere(own: str | None = None) -> str:
    """The ``Link`` field of any answer, after what only this one links to."""
    return f"{own}, {_LINKS}" if own else _LINKS


def of_problem(path: str) -> str:
    """Links to the page of a problem's code and to the schema of problems."""
    return f'<{path}>; rel="help", {described_by("Problem")}'


def catalog() -> dict[str, Any]:
    """The linkset of this service (RFC 9264) as RFC 9727 wants it."""
    meta = [
        {"href": f"/schema/v1/{name}.json", "type": "application/schema+json"}
        for name in PUBLISHED.values()
    ]
    service: dict[str, Any] = {"anchor": "/"}
    for relation, (target, media_type) in _EVERYWHERE.items():
        if relation != "api-catalog":
            service[relation] = [{"href": target, "type": media_type}]
    service["service-meta"] = [*meta, {"href": "/v1/about", "type": _JSON}]
    return {"linkset": [{"anchor": CATALOG, "item": [{"href": "/"}]}, service]}
