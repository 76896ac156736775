"""The specs of this folder can be imported by name; one application answers all its tests."""

import sys
from pathlib import Path

import pytest
from flask.testing import FlaskClient

from tuckmark.web import create_app

sys.path.insert(0, str(Path(__file__).parent))


@pytest.fixture(scope="session")
def client() -> FlaskClient:
    return create_app().test_client()
