"""The cellar board: every tank, brink and silo with what it holds, whether it is clean, and what is due next."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from brewery.kernel.clock import brewery_day
from brewery.production.models import BrewPlan, TankReading
from brewery.production.queries.cellar_days import CellarDay, cellar_day
from brewery.production.queries.fermentations import Fermentation, fermentation_of, fermentations
from brewery.production.queries.make_up import Beginnings, beginnings_of
from brewery.production.queries.tank_readings import in_words
from brewery.science.fermentation import State
from inventory.models import Location, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.queries.floor import HeldPlace, Vessel, held_by_place, held_in
from inventory.queries.vessels import VesselState, states_at

BREWED = (Material.Kind.WORT, Material.Kind.BEER)
SHOWN = (TankReading.Property.GRAVITY, TankReading.Property.TEMPERATURE)
TANKS_AND_BRINKS = (*Location.TANKS, Location.Kind.BRINK)


@dataclass(frozen=True)
class Card:
    """One vessel on the board. `day` and `beginnings` are known of wort and beer."""

    vessel: Vessel
    beginnings: Beginnings | None
    day: CellarDay | None
    plans: tuple[BrewPlan, ...]
    fermentation: Fermentation | None
    now: VesselState
    today: date

    @property
    def lot(self) -> Lot | None:
        """What lies in it, the oldest first; a tank holds one."""
        return self.vessel.contents[0].lot if self.vessel.contents else None

    @property
    def since(self) -> datetime | None:
        """Since when what it holds is beer to be: the pitch or knock-out, or when the lot was made."""
        began_at = self.beginnings.began_at if self.beginnings else None
        return began_at or self.vessel.since

    @property
    def age_days(self) -> int | None:
        """Whole days since then."""
        return (self.today - brewery_day(self.since)).days if self.since else None

    @property
    def is_barred(self) -> bool:
        """Whether what it holds may not be used as it stands."""
        return any(held.lot.disposition != Disposition.RELEASED for held in self.vessel.contents)

    @property
    def is_wanted_though_full(self) -> bool:
        """Whether a brew is planned into it by today while it still holds something."""
        return bool(self.vessel.contents) and any(plan.brew_on <= self.today for plan in self.plans)

    @property
    def is_stuck(self) -> bool:
        """Whether the readings say that fermentation stands still before its end."""
        return self.fermentation is not None and self.fermentation.state is State.STUCK

    @property
    def readings(self) -> list[str]:
        """The last gravity and temperature, and how fast the gravity changes, in words."""
        if self.fermentation is None:
            return []
        last, rate = self.fermentation.last, self.fermentation.judgement.rate_per_day
        told = [in_words(last[one]) for one in SHOWN if one in last]
        return [*told, f"{rate:+.2f} °P a day"] if rate is not None else told

    @property
    def urgency(self) -> tuple[int, date, bool, str]:
        """What the board is sorted by: what is barred, stuck, or in a brew's way; then what is due; then the rest."""
        place = (self.vessel.location.kind == Location.Kind.BRINK, self.vessel.location.code)
        if self.is_barred or self.is_stuck or self.is_wanted_though_full:
            return (0, self.today, *place)
        if self.day:
            return (1, self.day.due_on, *place)
        return (2 if self.vessel.contents else 3, self.today, *place)


@dataclass(frozen=True)
class Board:
    """The cellar: tanks and brinks, what needs attention first; and the silos."""

    tanks: list[Card]
    silos: list[Card]


def cellar_board(today: date) -> Board:
    """Return the board; the number of statements does not grow with vessels, lots or brews."""
    told = {one.vessel.pk: one for one in fermentations()}
    tanks = _cards_of(held_by_place(TANKS_AND_BRINKS, today), told, today)
    silos = _cards_of(held_by_place((Location.Kind.SILO,), today), {}, today)
    return Board(sorted(tanks, key=lambda card: card.urgency), silos)


def card_of(vessel: Location, today: date) -> Card:
    """Return the card of one vessel."""
    told = fermentation_of(vessel) if vessel.kind in Location.TANKS else None
    (card,) = _cards_of([held_in(vessel, today)], {vessel.pk: told} if told else {}, today)
    return card


def _cards_of(places: Iterable[HeldPlace], told: Mapping[int, Fermentation], today: date) -> list[Card]:
    vessels = [Vessel(place.location, place.rows) for place in places]
    brewed = {held.lot.pk for vessel in vessels for held in vessel.contents if held.lot.material.kind in BREWED}
    beginnings = beginnings_of(brewed) if brewed else {}
    plans = plans_for([vessel.location.pk for vessel in vessels])
    states = states_at([vessel.location for vessel in vessels])
    cards = []
    for vessel in vessels:
        begun = beginnings.get(vessel.contents[0].lot.pk) if vessel.contents else None
        day = cellar_day(begun, today) if begun else None
        key = vessel.location.pk
        cards.append(Card(vessel, begun, day, tuple(plans[key]), told.get(key), states[key], today))
    return cards


def plans_for(vessels: Collection[int]) -> dict[int, list[BrewPlan]]:
    """Return by vessel the brews that are planned into it, the next first."""
    wanted: dict[int, list[BrewPlan]] = defaultdict(list)
    rows = BrewPlan.objects.filter(vessel__in=vessels, state=BrewPlan.State.PLANNED).select_related("sheet__beer")
    for plan in rows.order_by("brew_on", "code"):
        wanted[plan.vessel_id or 0].append(plan)
    return wanted
