"""Which yeast is at work in a tank."""

from django.db import connection

from inventory.models import Link, Lot

_PITCHED = """
WITH RECURSIVE mixed(id) AS (
    SELECT CAST(%s AS bigint)
    UNION
    SELECT link.parent_id
      FROM mixed
      JOIN inventory_link link ON link.child_id = mixed.id
      JOIN inventory_lot parent ON parent.id = link.parent_id
      JOIN inventory_material material ON material.id = parent.material_id
     WHERE link.reversed_by_id IS NULL AND link.kind = %s AND material.kind IN ('wort', 'beer')
)
SELECT DISTINCT link.parent_id
  FROM mixed
  JOIN inventory_link link ON link.child_id = mixed.id
  JOIN inventory_lot parent ON parent.id = link.parent_id
  JOIN inventory_material material ON material.id = parent.material_id
 WHERE link.reversed_by_id IS NULL AND link.kind = %s AND material.kind = 'yeast'
"""


def yeasts_in(contents: Lot) -> list[Lot]:
    """Return the yeast lots that were pitched into this beer or into any beer blended into it, the oldest first."""
    kind = Link.Kind.INGREDIENT.value
    with connection.cursor() as cursor:
        cursor.execute(_PITCHED, [contents.pk, kind, kind])
        keys = [row[0] for row in cursor.fetchall()]
    return list(Lot.objects.filter(pk__in=keys).select_related("material").order_by("pk"))
