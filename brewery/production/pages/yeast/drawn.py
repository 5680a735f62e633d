"""A lineage as pages show it: the tree, and the same in rows."""

from collections.abc import Sequence
from typing import Any

from django.urls import reverse
from django.utils.safestring import mark_safe

from brewery.kernel.clock import brewery_day
from brewery.production.drawing.lineage import Crop, draw
from brewery.production.queries.lineage import Culture


def drawn_lineage(cultures: Sequence[Culture], title: str, subject: int | None = None) -> dict[str, Any]:
    """Return the lineage as `svg` and as `rows` of a culture and its mothers' lots."""
    lots = {culture.lot.pk: culture.lot for culture in cultures}
    crops = [
        Crop(
            culture.lot.pk,
            culture.lot.code,
            culture.lot.generation,
            brewery_day(culture.lot.made_at),
            culture.mothers,
            culture.fate,
            reverse("culture", args=[culture.lot.pk]),
            is_over=not culture.is_on_hand,
            is_subject=culture.lot.pk == subject,
        )
        for culture in cultures
    ]
    rows = [
        {"culture": culture, "mothers": [lots[key] for key in culture.mothers if key in lots]} for culture in cultures
    ]
    # What is drawn is numbers of ours and words that the drawing has escaped.
    return {"svg": mark_safe(draw(crops, title)), "rows": rows}  # noqa: S308
