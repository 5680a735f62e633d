"""One call of a service, before anybody makes it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.db import models


@dataclass(frozen=True)
class Call:
    """A service and everything it is asked, but for `actor` and `request_id`."""

    service: Callable[..., models.Model]
    content: dict[str, Any]
