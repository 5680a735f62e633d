"""Yeast on hand, strain by strain: how old, how much is alive, and what is to be done with it."""

from itertools import groupby
from typing import Any, ClassVar

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.pages.writing import WritingPage
from brewery.production.queries.pitch_proposals import tanks_for_yeast
from brewery.production.queries.strains import strains_on
from brewery.production.queries.yeast_states import yeast_on_hand
from inventory.models import Material


class YeastPage(WritingPage):
    """All strains, each with the yeast of it that is in stock, the fittest first."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.CELLAR
    http_method_names = ("get", "head", "options")
    template_name = "production/yeast/overview.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        by_strain = groupby(yeast_on_hand(now()), key=lambda one: one[0].lot.material_id)
        held = {key: [{"state": state, "quantity_micro": micro} for state, micro in rows] for key, rows in by_strain}
        materials = list(Material.objects.filter(kind=Material.Kind.YEAST))
        settings = strains_on({material.pk for material in materials}, brewery_day())
        strains = [
            {"material": material, "strain": settings[material.pk], "rows": held.get(material.pk, [])}
            for material in materials
        ]
        tanks = tanks_for_yeast() if self.may_write else []
        context = {
            "strains": strains,
            "to_pitch": [row for row in tanks if row.lot.generation is None],
            "to_harvest": [row for row in tanks if row.lot.generation is not None],
            **kwargs,
        }
        return super().get_context_data(**context, may_write=self.may_write)
