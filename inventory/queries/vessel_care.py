"""What was done to a vessel itself: cleanings, what of them was withdrawn, and when it was out of service."""

from inventory.models import Cleaning, Location, ServiceMark

SHOWN = 20


def cleanings_of(vessel: Location) -> list[Cleaning]:
    """Return the last cleanings of the vessel, the latest first, with their withdrawals."""
    rows = Cleaning.objects.filter(vessel=vessel, withdraws=None)
    return list(rows.select_related("actor", "withdrawn_by__actor").order_by("-happened_at", "-id")[:SHOWN])


def service_of(vessel: Location) -> list[ServiceMark]:
    """Return when the vessel was taken out of service and put back, the latest first."""
    rows = ServiceMark.objects.filter(vessel=vessel)
    return list(rows.select_related("actor").order_by("-happened_at", "-id")[:SHOWN])


def usual_programmes() -> list[str]:
    """Return the programmes by which any vessel was cleaned, in the order of the alphabet."""
    return list(Cleaning.objects.standing().order_by("programme").values_list("programme", flat=True).distinct())


def cleaning_of_number(number: int) -> Cleaning | None:
    """Return the cleaning of that number, or None where there is none."""
    return Cleaning.objects.filter(pk=number).select_related("vessel").first()
