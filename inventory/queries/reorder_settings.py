"""Settings of reordering that hold now, what was used day by day, and how long deliveries took."""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta

from django.db.models import Max, Min, Sum

from brewery.kernel.clock import brewery_day
from brewery.science.units import MICRO
from inventory.models import DayFlow, Material, ReorderSetting
from inventory.queries.orders import counted_deliveries
from inventory.queries.turnover import way_of

LOOKS_BACK_DAYS = 182
"""Half a year of use, so that a week of brewing nothing does not count for much: common practice, no source."""
_USED = ("used", "drawn", "came_back")


def reorder_settings() -> list[ReorderSetting]:
    """Return the settings that hold, in the order of their materials; two statements."""
    last = ReorderSetting.objects.order_by().values("material").annotate(last=Max("pk")).values_list("last", flat=True)
    rows = ReorderSetting.objects.filter(pk__in=list(last), is_ended=False).select_related("material", "supplier")
    return list(rows.order_by("material__code"))


def setting_of(material: Material) -> ReorderSetting | None:
    """Return the setting that was said last of the material, also one that ended; None where none ever was."""
    return ReorderSetting.objects.filter(material=material).select_related("material", "supplier").last()


def used_by_day(
    materials: Collection[Material], today: date, days: int = LOOKS_BACK_DAYS
) -> Mapping[int, Sequence[float]]:
    """Return by material what was used on each of the days before today, in its unit; one statement."""
    first = today - timedelta(days)
    sums: dict[int, dict[date, int]] = defaultdict(lambda: defaultdict(int))
    rows = DayFlow.objects.filter(material__in=materials, day__gte=first, day__lt=today).order_by()
    keys = rows.values_list("material", "day", "kind", "from_kind", "to_kind").annotate(sum=Sum("quantity_micro"))
    for material, day, kind, source, target, quantity in keys:
        name, sign = way_of(kind, source, target)
        if name in _USED:
            sums[material][day] -= sign * int(quantity)
    return {
        one.pk: [max(0, sums[one.pk][first + timedelta(number)]) / MICRO for number in range(days)] for one in materials
    }


def lead_days_of(settings: Collection[ReorderSetting]) -> Mapping[int, Sequence[float]]:
    """Return by material the days from each order with its supplier to the first delivery of it; one statement."""
    suppliers = {one.material_id: one.supplier_id for one in settings}
    rows = counted_deliveries().filter(order_line__material__in=suppliers).order_by()
    came = rows.values_list("order_line", "order_line__material", "order_line__order__supplier").annotate(
        ordered_on=Min("order_line__order__ordered_on"), came_at=Min("delivery__event__happened_at")
    )
    found: dict[int, list[float]] = defaultdict(list)
    for _, material, supplier, ordered_on, came_at in came:
        if suppliers[material] == supplier:
            found[material].append(max(0.0, float((brewery_day(came_at) - ordered_on).days)))
    return found
