"""What the bench measures on: specs that all differ, all plan, and defeat a memory of texts."""

import pytest
from tests.bench.specs import COUNT, distinct, seen_before

from tuckmark import document, published
from tuckmark.pipeline import default_pipeline

EXAMPLES = len(published.examples())


@pytest.fixture(scope="module")
def bodies() -> list[bytes]:
    return distinct()


def test_there_are_as_many_as_the_table_says_and_no_two_are_alike(bodies: list[bytes]) -> None:
    assert len(set(bodies)) == COUNT >= 5_000
    assert COUNT % EXAMPLES == 0


def test_most_quantities_have_not_been_seen_before(bodies: list[bytes]) -> None:
    assert seen_before(bodies) < 0.5
    assert seen_before([bodies[0]] * 100) > 0.9  # the measure itself can tell


def test_the_least_and_the_most_grown_of_every_example_have_plans(bodies: list[bytes]) -> None:
    plan = default_pipeline().plan
    for body in (*bodies[:EXAMPLES], *bodies[-EXAMPLES:]):
        assert plan(document.read(body))["plan_version"] == "1.0"
