"""A calendar day in a form, as browsers exchange it."""

from typing import Any

from django import forms


class DayInput(forms.DateInput):
    """The browser's own day picker. It takes and gives ISO 8601 alone, whatever the language of the page."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs=attrs, format="%Y-%m-%d")
