"""Delivery files through the API: the lines of a CSV file become lines of a draft."""

from typing import Any

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from inventory.api.delivery_drafts import DraftRecording
from inventory.models import Delivery
from inventory.services.delivery_files import read_in_lines


class LinesFileAsked(serializers.Serializer[Any]):
    """A CSV file in UTF-8, whose first line names its columns."""

    file = serializers.FileField(allow_empty_file=True)


class DraftImports(DraftRecording):
    """POST: read the lines of a CSV file into the draft, sent as multipart/form-data; all of them, or none.

    Columns: material, and any of supplier_lot, quantity, note_quantity, unit, package_count, package_size, best_before,
    crop_year, location, sscc, order, lot, contents_lot, generation, difference_reason.
    """

    parser_classes = (MultiPartParser,)
    asked = LinesFileAsked
    needs_version = ()

    def record(self, **asked: Any) -> Delivery:
        """Read them in."""
        file = asked.pop("file")
        return read_in_lines(delivery=self.draft(), name=file.name, content=file.read(), **asked)
