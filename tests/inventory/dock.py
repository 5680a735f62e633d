"""The dock: a short way to write down a delivery line by line, as a clerk does."""

from dataclasses import dataclass
from typing import Any

from inventory.models import Delivery, DeliveryLine
from inventory.services.bookings import book_delivery
from inventory.services.delivery_drafts import change_delivery, open_delivery
from inventory.services.delivery_lines import add_line, change_line, remove_line
from tests.brewhouse import Brewhouse, at, micro

SOUND = {"note_number": "LS-1", "condition": "sound"}


@dataclass
class Dock:
    """One clerk at one brewhouse."""

    house: Brewhouse
    role: str = "receiving"

    @property
    def who(self) -> dict[str, Any]:
        return self.house.by(self.role)

    def open(self, supplier: str = "HOPYARD", *, hours: float = 0, **header: Any) -> Delivery:
        """A draft that lacks nothing but its lines."""
        return open_delivery(
            supplier=self.house.party(supplier), arrived_at=at(hours), header={**SOUND, **header}, **self.who
        )

    def add(
        self, draft: Delivery, material: str, quantity: str = "", place: str = "STORE", **facts: Any
    ) -> DeliveryLine:
        """Add a line and return it; the draft is fresh."""
        named = {"material": self.house.material(material), **facts}
        if quantity:
            named["quantity_micro"] = micro(quantity)
        if place:
            named["location"] = self.house.place(place)
        add_line(delivery=draft, facts=named, **self.who)
        draft.refresh_from_db()
        line = draft.lines.order_by("-position").first()
        assert line is not None
        return line

    def say(self, draft: Delivery, version: int | None = None, **changes: Any) -> Delivery:
        """Change the head of the draft."""
        done = change_delivery(delivery=draft, version=version or self.version(draft), changes=changes, **self.who)
        draft.refresh_from_db()
        return done

    def change(self, line: DeliveryLine, version: int | None = None, **changes: Any) -> Delivery:
        """Change a line."""
        version = version or self.version(line.delivery)
        return change_line(delivery=line.delivery, line=line.pk, version=version, changes=changes, **self.who)

    def remove(self, line: DeliveryLine, version: int | None = None) -> Delivery:
        """Remove a line."""
        version = version or self.version(line.delivery)
        return remove_line(delivery=line.delivery, line=line.pk, version=version, **self.who)

    def book(self, draft: Delivery, version: int | None = None, **more: Any) -> Delivery:
        """Book the draft as it is now."""
        return book_delivery(delivery=draft, version=version or self.version(draft), **{**self.who, **more})

    def version(self, draft: Delivery) -> int:
        return Delivery.objects.get(pk=draft.pk).version
