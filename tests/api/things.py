"""One of each thing that an address names, so that every address can be asked for."""

from inventory.models import Delivery
from inventory.services.attachments import keep_file
from tests.brewhouse import Brewhouse, at
from tests.inventory.papers import PDF


def keys_of_things(house: Brewhouse) -> dict[str, int]:
    """Return the keys by the names that the access table's addresses use; the house has brewed its whole chain."""
    delivery = Delivery.objects.create(
        supplier=house.party("HOPYARD"),
        arrived_at=at(0),
        opened_at=at(0),
        changed_at=at(0),
        opened_by=house.people["receiving"],
    )
    paper = keep_file(content=PDF, name="note.pdf", delivery=delivery, **house.by("receiving"))
    return {"lot": house.lot("M1").pk, "delivery": delivery.pk, "attachment": paper.pk}
