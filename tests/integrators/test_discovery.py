"""From any answer to everything that explains it: links, catalogue, reference page."""

import json
import re
from html.parser import HTMLParser
from typing import Any

import pytest
from flask.testing import FlaskClient

from tuckmark import published
from tuckmark.web import components, create_app
from tuckmark.web.negotiation import is_json
from tuckmark.web.operations import OPERATIONS

# RFC 8288, 3: targets in angle brackets, then parameters
LINK = re.compile(r'<([^>]*)>((?:; \w+="[^"]*")*)')
DESCRIBED = {
    "PlanAnswer": "splice-plan",
    "ValidationReport": "validation-report",
    "InspectionReport": "inspection-report",
    "CalibrationReport": "calibration-report",
    "BatchLine": "batch-line",
    "CutlistReport": "cutlist-report",
}


@pytest.fixture(scope="module")
def client() -> FlaskClient:
    return create_app().test_client()


def links(response: Any) -> dict[str, tuple[str, str | None]]:
    found = {}
    for field in response.headers.getlist("Link"):
        for target, parameters in LINK.findall(field):
            given = dict(re.findall(r'(\w+)="([^"]*)"', parameters))
            found[given["rel"]] = (target, given.get("type"))
    return found


def ask(client: FlaskClient, operation: Any, **more: Any) -> Any:
    path = operation.path.format(**{p.name: p.example for p in operation.parameters_in("path")})
    return client.open(path, method=operation.method, **sent_to(operation), **more)


def sent_to(operation: Any) -> dict[str, Any]:
    """The first example of what the operation takes, in the form in which it takes it."""
    if not operation.takes:
        return {}
    document = next(iter(components.examples(operation.takes).values()))
    form = operation.form
    return {"data": form.write([document]), "content_type": form.media_types[0]}


@pytest.mark.parametrize("operation", OPERATIONS, ids=lambda item: item.id)
def test_every_answer_leads_to_what_explains_it(client: FlaskClient, operation: Any) -> None:
    answers = [ask(client, operation), ask(client, operation, query_string={"knots": "2"})]
    for answer in answers:
        found = links(answer)
        assert {"service-desc", "service-doc", "status", "api-catalog"} <= found.keys()
        assert "Link" in answer.headers["Access-Control-Expose-Headers"]
        for target, media_type in found.values():
            there = client.get(target)
            assert there.status_code == 200, target
            assert media_type in (None, there.headers["Content-Type"].split(";")[0])
    assert links(answers[1])["help"][0] == "/problems/parameter_invalid"
    assert links(answers[1])["describedby"][0] == "/schema/v1/problem.json"
    name = DESCRIBED.get(operation.answer)
    name = name if is_json(answers[0].headers["Content-Type"].split(";")[0]) else None
    expected = (f"/schema/v1/{name}.json", "application/schema+json") if name else None
    assert links(answers[0]).get("describedby") == expected


def test_the_catalogue_is_a_linkset(client: FlaskClient) -> None:
    """RFC 9264, 4.2 (members) and RFC 9727, 2 and 4.2 (place, HEAD, profile)."""
    answer = client.get("/.well-known/api-catalog")
    profile = 'profile="https://www.rfc-editor.org/info/rfc9727"'
    assert answer.headers["Content-Type"] == f"application/linkset+json; {profile}"
    asked = {"Accept": f"application/linkset+json; {profile}"}
    assert client.get("/.well-known/api-catalog", headers=asked).data == answer.data
    head = client.head("/.well-known/api-catalog")
    assert links(head)["api-catalog"][0] == "/.well-known/api-catalog"
    assert answer.json is not None
    assert list(answer.json) == ["linkset"]
    relations = set()
    for context in answer.json["linkset"]:
        assert context.pop("anchor")
        for relation, targets in context.items():
            relations.add(relation)
            for target in targets:
                assert set(target) <= {"href", "type"}
                if relation != "item":
                    there = client.get(target["href"])
                    assert there.headers["Content-Type"].split(";")[0] == target["type"]
    assert relations == {"item", "service-desc", "service-doc", "service-meta", "status"}


class Page(HTMLParser):
    """Everything a page refers to, and what stands on it."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.loaded: list[str] = []
        self.linked: list[str] = []
        self.ids: set[str] = set()
        self.inline: list[str] = []
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        given = {name: value or "" for name, value in attrs}
        if "id" in given:
            self.ids.add(given["id"])
        if tag == "a":
            self.linked.append(given["href"])
        elif "href" in given or "src" in given:
            self.loaded.append(given.get("href") or given["src"])
        if tag in ("script", "style", "iframe") or "style" in given:
            self.inline.append(tag)


def test_the_reference_page_needs_nothing_from_elsewhere(client: FlaskClient) -> None:
    answer = client.get("/docs")
    policy = answer.headers["Content-Security-Policy"]
    assert policy.startswith("default-src 'none';")
    assert not re.search("unsafe|script-src|[*]|https?:", policy)
    page = Page(answer.text)
    fetched = [target for target in page.loaded if not target.startswith("data:")]
    assert fetched
    assert page.inline == []
    for target in fetched:
        style = client.get(target)
        assert style.headers["Content-Type"] == "text/css; charset=utf-8"
        urls = re.findall(r"""url\(["']?([^)"']+)""", style.text)
        assert all(url.startswith(("/assets/", "data:")) for url in urls), urls
        assert "@import" not in style.text
    for target in set(page.linked):
        if target.startswith("#"):
            assert target[1:] in page.ids
        else:
            assert client.get(target).status_code == 200, target


def test_the_reference_page_shows_every_operation(client: FlaskClient) -> None:
    text = client.get("/docs").text
    page = Page(text)
    for operation in OPERATIONS:
        assert operation.id in page.ids
        assert f"<code>{operation.method} {operation.path}</code>" in text
        for code in operation.all_problems:
            assert f'href="/problems/{code}"' in text


def test_the_reference_page_says_what_breaks_and_how_long_a_version_lives(
    client: FlaskClient,
) -> None:
    text = client.get("/docs").text
    assert 'id="versions"' in text
    assert "at least 24 months" in text


def test_the_versions_and_limits_are_told(client: FlaskClient) -> None:
    about = client.get("/v1/about").json
    assert about is not None
    assert {"service", "engine", "tables", "schema_versions", "plan_version"} <= about.keys()
    assert about["limits"]["document_bytes"] == 65536
    changes = client.get("/v1/changes").json
    assert changes is not None
    assert changes["changes"][0]["engine"] == about["engine"]
    assert changes["changes"][0]["tables"] == about["tables"]


@pytest.mark.parametrize("name", list(published.schema_files()))
def test_a_schema_is_one_file_that_can_be_kept(client: FlaskClient, name: str) -> None:
    answer = client.get(f"/schema/v1/{name}.json")
    assert answer.headers["Content-Type"] == "application/schema+json"
    assert answer.headers["ETag"]
    assert answer.headers["Cache-Control"] == "public, max-age=3600"
    assert answer.headers["Access-Control-Allow-Origin"] == "*"
    references = re.findall(r'"\$ref": "([^"]*)"', json.dumps(answer.json))
    assert [target for target in references if not target.startswith("#/")] == []
