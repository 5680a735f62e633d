"""Opening stock over the API: a CSV file of what lay in the brewery before its record began."""

from typing import Any, ClassVar

from rest_framework import serializers
from rest_framework.parsers import MultiPartParser

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField
from inventory.api.events import LedgerRecording
from inventory.api.parts import ReasonField
from inventory.models import Event
from inventory.services.opening_stock import read_in_opening_stock


class OpeningStockAsked(serializers.Serializer[Any]):
    """A CSV file in UTF-8, whose first line names its columns; and as of when, where that is not just now.

    `unclean_reason` says why vessels are filled that were not cleaned since their last use.
    """

    file = serializers.FileField(allow_empty_file=True)
    happened_at = MomentField(required=False, default=None)
    unclean_reason = ReasonField()


class OpeningStock(LedgerRecording):
    """POST: read in what lay in the brewery before its record began, sent as multipart/form-data; all of it, or none.

    Columns: lot, material, quantity, unit, place, and any of best_before, disposition, supplier, supplier_lot,
    package_size, crop_year, generation.
    """

    right: ClassVar[Right] = Right.KEEP_REGISTERS
    parser_classes = (MultiPartParser,)
    asked = OpeningStockAsked

    def record(self, **asked: Any) -> Event:
        """Read it in."""
        file = asked.pop("file")
        return read_in_opening_stock(name=file.name, content=file.read(), **asked)
