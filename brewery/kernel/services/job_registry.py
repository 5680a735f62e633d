"""The jobs there are, by name. Each lies in its app's `jobs` room, takes ids, fetches, and calls a service."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import time, timedelta
from functools import cache, partial
from typing import Any, NoReturn, TypeVar

from django.utils.module_loading import autodiscover_modules

from brewery.kernel.services.schedules import Due

Work = TypeVar("Work", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class JobFunction:
    """What a job of this name does, and when the clock asks for it; `writes` asks for a transaction."""

    work: Callable[..., Any]
    due: Due | None
    writes: bool


class UnknownJob(LookupError):
    """A job waits under a name that this version of the programme does not know."""


_registered: dict[str, JobFunction] = {}


def job(
    name: str, *, daily_at: time | None = None, every: timedelta | None = None, writes: bool = True
) -> Callable[[Work], Work]:
    """Make the decorated function what jobs called `name` do; what it returns, as JSON can hold it, is the result.

    The clock asks for it once a day at `daily_at` by the brewery's clock, or once in each interval of `every`. Raises
    ValueError for a name that is taken, or for both.
    """
    if daily_at is not None and every is not None:
        raise ValueError(f"{name!r} is due either daily or every so often.")

    def register(work: Work) -> Work:
        if name in _registered:
            raise ValueError(f"Two jobs are called {name!r}.")
        _registered[name] = JobFunction(work, daily_at if every is None else every, writes)
        return work

    return register


def find(name: str) -> JobFunction:
    """Return what jobs called `name` do. For a name that is not known here, that is to raise UnknownJob.

    So such a job is tried again as any other that failed: while an upgrade is under way a newer worker may know it.
    """
    _load()
    return _registered.get(name) or JobFunction(partial(_refuse, name), None, writes=False)


def _refuse(name: str, **_: Any) -> NoReturn:
    raise UnknownJob(f"There is no job called {name!r}.")


def schedule() -> dict[str, Due]:
    """Return the jobs that the clock asks for, and when."""
    _load()
    return {name: function.due for name, function in _registered.items() if function.due is not None}


@cache
def _load() -> None:
    autodiscover_modules("jobs")
