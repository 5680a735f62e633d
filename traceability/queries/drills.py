"""Which lots a drill may be drawn from."""

from datetime import timedelta

from django.db.models import Exists, OuterRef

from brewery.kernel.clock import now
from inventory.models import Link, Lot

LOOKS_BACK = timedelta(days=365)


def lots_to_draw_from() -> list[int]:
    """Return the ids of the lots of the last year that went into others, bought or made: every stage can be drawn."""
    went_on = Link.objects.filter(parent=OuterRef("pk"), reversed_by=None)
    rows = Lot.objects.filter(Exists(went_on), reversed_by=None, made_at__gt=now() - LOOKS_BACK)
    return list(rows.order_by("pk").values_list("pk", flat=True))
