"""A client of the API for each person, and a short way to send what a brewery records."""

import pytest

from tests.api.client import Api
from tests.brewhouse import Brewhouse


@pytest.fixture
def api(brewhouse: Brewhouse) -> Api:
    """Return the API as the people of the brewhouse use it."""
    return Api(brewhouse)
