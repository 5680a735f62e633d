"""Plain values: whatever a service is asked with, or a row holds, as JSON can hold it."""

import dataclasses
import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from decimal import Decimal
from enum import Enum
from typing import Any
from uuid import UUID

from django.db import models


def plain(value: Any) -> Any:
    """Return `value` as JSON can hold it, the same for the same input: rows by table and key, times in full."""
    if isinstance(value, models.Model):
        return f"{value._meta.label_lower}:{value.pk}"
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {part.name: plain(getattr(value, part.name)) for part in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [plain(part) for part in value]
    return _plain_scalar(value)


def _plain_scalar(value: Any) -> Any:
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, datetime):
        return value.astimezone(UTC).isoformat()
    if isinstance(value, date | UUID | Decimal):
        return str(value)
    return json.loads(json.dumps(value))
