"""One material month by month: every column of its usage, what was lost, and both in words."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from django.db.models import Sum
from django.db.models.functions import TruncMonth

from inventory.models import DayFlow, Material
from inventory.queries.turnover import way_of
from inventory.queries.usage import COLUMNS, NET, Period, month_of
from traceability.queries.usage_moves import COLUMN_OF


@dataclass(frozen=True)
class Month:
    """What came (above zero) and went (below) of a material in a month, by the names of `COLUMNS`, in micro-units."""

    period: Period
    columns: dict[str, int] = field(default_factory=lambda: dict.fromkeys(COLUMNS, 0))

    @property
    def used_micro(self) -> int:
        """What was used, less what came back."""
        return -sum(self.columns[name] for name in NET)

    @property
    def lost_micro(self) -> int:
        """What was lost and destroyed, and what counts found missing."""
        return -(self.columns["lost"] + self.columns["destroyed"] + min(0, self.columns["counted"]))


def months_of_usage(material: Material, months: Sequence[Period]) -> list[Month]:
    """Return the months, which follow each other, with what the material did in them; one statement."""
    found = {period.first: Month(period) for period in months}
    rows = DayFlow.objects.filter(material=material, day__gte=months[0].first, day__lte=months[-1].last).order_by()
    keys = rows.annotate(month=TruncMonth("day")).values_list("month", "kind", "from_kind", "to_kind")
    for month, *way, micro in keys.annotate(micro=Sum("quantity_micro")):
        name, sign = way_of(*way)
        if sign:
            found[month_of(month).first].columns[COLUMN_OF[name]] += sign * int(micro)
    return list(found.values())
