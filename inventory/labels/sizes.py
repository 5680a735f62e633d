"""The sizes of labels: rolls of the usual widths, and sheets of A4."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

A4_WIDTH_MM, A4_HEIGHT_MM = 210.0, 297.0


@dataclass(frozen=True, slots=True)
class Size:
    """One size of label in millimetres. On a sheet there are `columns` times `rows` of it, without gaps."""

    code: str
    words: str
    width_mm: float
    height_mm: float
    columns: int = 1
    rows: int = 1

    @property
    def is_sheet(self) -> bool:
        """Whether several labels stand on one page of A4."""
        return self.columns * self.rows > 1

    @property
    def is_small(self) -> bool:
        """Whether there is room for the text and the square symbols only."""
        return self.height_mm < 60

    @property
    def is_tall(self) -> bool:
        """Whether it is a label for a pallet, higher than wide."""
        return self.height_mm > self.width_mm


SIZES: Mapping[str, Size] = MappingProxyType(
    {
        size.code: size
        for size in (
            Size("100x150", "100 × 150 mm, for pallets", 100, 150),
            Size("100x70", "100 × 70 mm", 100, 70),
            Size("62x29", "62 × 29 mm", 62, 29),
            Size("a4-4", "A4 sheet of 4, 105 × 148 mm, for pallets", A4_WIDTH_MM / 2, A4_HEIGHT_MM / 2, 2, 2),
            Size("a4-8", "A4 sheet of 8, 105 × 74 mm", A4_WIDTH_MM / 2, A4_HEIGHT_MM / 4, 2, 4),
            Size("a4-24", "A4 sheet of 24, 70 × 37 mm", A4_WIDTH_MM / 3, A4_HEIGHT_MM / 8, 3, 8),
        )
    }
)

USUAL_SIZE, PALLET_SIZE = "100x70", "100x150"
