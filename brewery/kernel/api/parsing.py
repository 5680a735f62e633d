"""Reading the body of a request: JSON, one value, each name once, and no more of it than a request may hold."""

import json
from collections.abc import Mapping
from typing import IO, Any

from django.conf import settings
from rest_framework.exceptions import APIException, ParseError
from rest_framework.parsers import BaseParser
from rest_framework.renderers import JSONRenderer


class TooLarge(APIException):
    """The body is larger than a request may be."""

    status_code = 413
    default_code = "too_large"
    default_detail = "The content is larger than this takes."


class StrictJSONParser(BaseParser):
    """Parses JSON in UTF-8 (RFC 8259). A name that comes twice is refused: one of the two would be lost."""

    media_type = "application/json"
    renderer_class = JSONRenderer

    def parse(
        self, stream: IO[Any], media_type: str | None = None, parser_context: Mapping[str, Any] | None = None
    ) -> Any:
        """Return the value. Raises ParseError, TooLarge."""
        limit: int = settings.DATA_UPLOAD_MAX_MEMORY_SIZE
        body = stream.read(limit + 1)
        if len(body) > limit:
            raise TooLarge
        try:
            text = body.decode("utf-8")
            value = json.loads(text, parse_constant=_refuse_constant, object_pairs_hook=_each_name_once)
            if "\\ud" in text.lower():
                _refuse_half_characters(value)
            return value
        except RecursionError:
            raise ParseError("The JSON is nested too deeply.") from None
        except ValueError as wrong:
            raise ParseError(f"The JSON is not well formed: {wrong}.") from None


def _refuse_half_characters(value: Any) -> None:
    """Raise ValueError where a text or a name holds half a surrogate pair: it can be neither kept nor answered."""
    try:
        json.dumps(value, ensure_ascii=False).encode("utf-8")
    except UnicodeEncodeError:
        raise ValueError("a text holds half of a character, a \\ud… without its other half") from None


def _refuse_constant(name: str) -> None:
    raise ValueError(f"{name} is not JSON")


def _each_name_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        names = [name for name, _ in pairs]
        raise ValueError(f"the name {next(name for name in names if names.count(name) > 1)!r} comes twice")
    return found
