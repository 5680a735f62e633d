"""The jobs there are, by name. Each lies in its app's `jobs` room, takes ids, fetches, and calls a service."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import time
from functools import cache, partial
from typing import Any, NoReturn, TypeVar

from django.utils.module_loading import autodiscover_modules

Work = TypeVar("Work", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True)
class JobFunction:
    """What a job of this name does. `daily_at` is by the brewery's clock; `writes` asks for a transaction."""

    work: Callable[..., Any]
    daily_at: time | None
    writes: bool


class UnknownJob(LookupError):
    """A job waits under a name that this version of the programme does not know."""


_registered: dict[str, JobFunction] = {}


def job(name: str, *, daily_at: time | None = None, writes: bool = True) -> Callable[[Work], Work]:
    """Make the decorated function what jobs called `name` do; what it returns, as JSON can hold it, is the result.

    Raises ValueError for a name that is taken.
    """

    def register(work: Work) -> Work:
        if name in _registered:
            raise ValueError(f"Two jobs are called {name!r}.")
        _registered[name] = JobFunction(work, daily_at, writes)
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


def daily() -> dict[str, time]:
    """Return the jobs that the clock asks for, each with its time by the brewery's clock."""
    _load()
    return {name: function.daily_at for name, function in _registered.items() if function.daily_at}


@cache
def _load() -> None:
    autodiscover_modules("jobs")
