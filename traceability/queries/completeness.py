"""Completeness: which lots lack what every lot of their kind should have."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.db import connection


@dataclass(frozen=True)
class Question:
    """One question to all lots at once: a statement that finds those that lack something, and what to say of them."""

    words: str
    sql: str
    title: str
    advice: str

    def lots(self) -> Iterator[int]:
        """Yield the lots by id."""
        with connection.cursor() as cursor:
            cursor.execute(self.sql)
            yield from (row[0] for row in cursor.fetchall())


_NO_ORIGIN = """
SELECT lot.id FROM inventory_lot lot
 WHERE lot.reversed_by_id IS NULL
   AND NOT EXISTS (SELECT 1 FROM inventory_link link WHERE link.child_id = lot.id AND link.reversed_by_id IS NULL)
   AND NOT EXISTS (SELECT 1 FROM inventory_posting posting
                     JOIN inventory_location place ON place.id = posting.from_location_id
                    WHERE posting.lot_id = lot.id AND place.kind IN ('supplier', 'count_difference'))
 ORDER BY lot.id
"""

_NO_CERTIFICATE = """
SELECT lot.id FROM inventory_lot lot JOIN inventory_material material ON material.id = lot.material_id
 WHERE lot.reversed_by_id IS NULL AND lot.supplier_id IS NOT NULL AND material.kind IN ('malt', 'hop', 'yeast')
   AND NOT EXISTS (SELECT 1 FROM inventory_certificate paper WHERE paper.lot_id = lot.id)
 ORDER BY lot.id
"""

_UNLINKED = """
SELECT lot.id FROM inventory_lot lot JOIN inventory_material material ON material.id = lot.material_id
 WHERE lot.reversed_by_id IS NULL AND material.kind IN ('wort', 'beer', 'packaged') AND lot.supplier_id IS NULL
   AND NOT EXISTS (SELECT 1 FROM inventory_link link
                    WHERE link.child_id = lot.id AND link.reversed_by_id IS NULL AND link.kind = 1)
 ORDER BY lot.id
"""

_NO_CUSTOMER = """
SELECT DISTINCT posting.lot_id FROM inventory_posting posting
  JOIN inventory_event event ON event.id = posting.event_id
  JOIN inventory_location place ON place.id = posting.to_location_id
  LEFT JOIN inventory_event undone ON undone.reverses_id = event.id
 WHERE event.kind = 'ship' AND undone.id IS NULL AND (place.kind <> 'customer' OR place.party_id IS NULL)
 ORDER BY posting.lot_id
"""

QUESTIONS = {
    "a_lot_has_an_origin": Question(
        "it came from no supplier and was made of nothing",
        _NO_ORIGIN,
        "No origin",
        "Find the delivery or the work that it came from; until then its trace back ends here, so hold it.",
    ),
    "a_bought_lot_has_a_certificate": Question(
        "no certificate of analysis is on record",
        _NO_CERTIFICATE,
        "No certificate",
        "Enter the certificate, or ask the supplier for it.",
    ),
    "contents_are_linked_to_what_they_are_of": Question(
        "nothing that it is made of is on record",
        _UNLINKED,
        "Unlinked contents",
        "A recall of what went into it would not find it: reverse the event that made it and enter it with its parts.",
    ),
    "what_was_shipped_has_a_customer": Question(
        "it was shipped to nobody",
        _NO_CUSTOMER,
        "Shipped without a customer",
        "Nobody could be rung up about it: find the delivery note, reverse the shipment and enter it anew.",
    ),
}
"""The questions by the sentence that each asks about. Certificates are asked for malt, hops and yeast: common practice,
no source."""
