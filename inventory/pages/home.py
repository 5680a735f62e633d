"""The first page: what is in every tank and store now."""

from typing import Any, ClassVar

from django.utils import timezone

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.pages.access import Page
from inventory.queries.floor import stores, vessel_groups


class HomePage(Page):
    """What is in every tank, silo and store now."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/home.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        moment = now()
        today = timezone.localdate(moment)
        return super().get_context_data(
            vessel_groups=vessel_groups(today), stores=stores(today), as_of=moment, **kwargs
        )
