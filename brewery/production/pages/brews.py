"""The list of brews."""

from typing import Any, ClassVar

from django.core.paginator import Paginator

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from brewery.production.queries.work import brews_with_contents

ON_A_PAGE = 50


class BrewsPage(Page):
    """Brews, the last begun first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "production/brews.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        brews = brews_with_contents().select_related("sheet__beer").order_by("-started_at", "code")
        page = Paginator(brews, ON_A_PAGE).get_page(self.request.GET.get("page"))
        return super().get_context_data(
            rows=page.object_list,
            previous_url=f"?page={page.previous_page_number()}" if page.has_previous() else None,
            next_url=f"?page={page.next_page_number()}" if page.has_next() else None,
            **kwargs,
        )
