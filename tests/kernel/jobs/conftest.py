"""Jobs that exist in tests only, and are the only ones there then."""

import itertools
from collections.abc import Callable, Iterator
from typing import Any

import pytest

from brewery.kernel.services import job_registry as registry

Named = Callable[..., str]


@pytest.fixture(autouse=True)
def no_bells(settings) -> None:
    """No test rings the Redis of this machine unless it says so."""
    settings.REDIS_URL = ""


@pytest.fixture
def job_that(monkeypatch: pytest.MonkeyPatch) -> Iterator[Named]:
    """Give a function a job name for the length of one test: `job_that(does_this)` returns the name."""
    registry.schedule()  # what there really is has been found, and is out of the way
    monkeypatch.setattr(registry, "_registered", {})
    numbers = itertools.count(1)

    def name_it(work: Callable[..., Any], **options: Any) -> str:
        name = f"test-{next(numbers)}"
        registry.job(name, **options)(work)
        return name

    return name_it
