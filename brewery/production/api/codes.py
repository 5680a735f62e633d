"""Fields that name brews, packaging runs and brew sheets."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from brewery.kernel.api.fields import CodeField
from brewery.production.models import BrewSheet
from brewery.production.queries.sheets import sheet_of
from brewery.production.queries.work import brew_of, run_of, work_of


class BrewField(CodeField):
    """A brew by its code."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="brew", find=brew_of, **options)


class RunField(CodeField):
    """A packaging run by its code."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="packaging run", find=run_of, **options)


class WorkField(CodeField):
    """A brew or a packaging run by its code: no code names one of each."""

    def __init__(self, **options: Any) -> None:
        super().__init__(thing="brew or packaging run", find=work_of, **options)


@extend_schema_field({"type": "integer", "minimum": 1})
class SheetField(serializers.IntegerField):
    """A brew sheet by its number."""

    default_error_messages = {"unknown_sheet": "There is no brew sheet of this number: look it up in the list."}

    def to_internal_value(self, data: Any) -> BrewSheet:  # type: ignore[override]
        """Return the sheet. Raises ValidationError where there is none."""
        if not isinstance(data, int) or isinstance(data, bool):
            self.fail("invalid")
        sheet = sheet_of(data) if 0 < data < 2**63 else None
        if sheet is None:
            self.fail("unknown_sheet")
        return sheet
