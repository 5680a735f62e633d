"""A client of the API for each person, and a short way to send what a brewery records."""

from tests.api.client import Api
from tests.brewhouse import Brewhouse
from tests.standing import built_once


@built_once
def api(brewhouse: Brewhouse) -> Api:
    """Return the API as the people of the brewhouse use it."""
    return Api(brewhouse)
