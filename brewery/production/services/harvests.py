"""Harvests: yeast is taken from a tank for the next brews, one generation older than what was pitched."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.harvest_rules import refuse_harvest
from brewery.production.services.refusals import NoYeastInIt
from brewery.production.services.tanks import contents_or_refuse, refuse_more_than_held, whole_contents
from brewery.science.generations import crop_generation
from inventory.models import Event, Link, Location
from inventory.queries.cultures import yeasts_in
from inventory.services.checks import refuse_not_positive
from inventory.services.mixing import consume
from inventory.services.posting import LotFacts, recording
from inventory.services.registers import boundary
from inventory.services.stock import Part, refuse_other_places


@once("harvest_yeast", returns=Event)
def harvest_yeast(
    *,
    vessel: Location,
    beer_micro: int,
    yeast_code: str,
    yeast_micro: int,
    location: Location,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    unclean_reason: str = "",
    override_reason: str = "",
    is_reported: bool = False,
) -> Event:
    """A new yeast lot lies in its store or brink; `beer_micro` of the tank's volume went with it as carryover.

    Its mothers are all the yeasts at work in the tank, and its generation is the highest of theirs plus one. A brink
    that was not cleaned takes `unclean_reason`, and what lay there last is linked as carryover. What `is_reported`, as
    by papers of a season that is over, is not held to the rules of when to harvest. Raises VesselEmpty, NoYeastInIt,
    MoreThanTheTankHolds, WrongPlace, the refusals of `refuse_harvest` without an override, and those of the ledger.
    """
    refuse_not_positive(beer_micro, "beer_quantity", "L")
    refuse_not_positive(yeast_micro, "quantity", "kg")
    refuse_other_places(location, (Location.Kind.STORE, Location.Kind.BRINK), "store or brink")
    beer = contents_or_refuse(vessel)
    mothers = yeasts_in(beer)
    if not mothers or beer.generation is None:
        raise NoYeastInIt(lot=beer.code, vessel=vessel, field="vessel")
    strongest = max(mothers, key=lambda lot: (lot.generation or 0, lot.pk))
    if not override_reason and not is_reported:
        refuse_harvest(vessel, beer, strongest, happened_at)
    transformed = boundary(Location.Kind.TRANSFORMED)
    with recording(
        Event.Kind.HARVEST,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        uses=[beer, *mothers],
        override_reason=override_reason,
        unclean_reason=unclean_reason,
    ) as record:
        refuse_more_than_held(whole_contents(record, record.lot(beer), vessel), beer_micro)
        facts = LotFacts(generation=crop_generation([beer.generation]))
        yeast = record.make(yeast_code, strongest.material, yeast_micro, facts)
        consume(record, Part(beer, vessel, beer_micro), yeast, transformed, kind=Link.Kind.CARRYOVER)
        for mother in mothers:
            record.link(mother, yeast, quantity_micro=0, kind=Link.Kind.CULTURE)
        record.post(yeast, from_=transformed, to=location, quantity_micro=yeast_micro)
    return record.event
