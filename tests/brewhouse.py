"""An invented brewhouse for tests: people of every role, registers, and a short way to say each step of a chain.

Quantities are written as people do ("12.5 kg"), times as hours after `START`, rows by their codes. Everything goes
through the services, so whatever stands here was allowed.
"""

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

import factory
from django.contrib.auth.models import Group

from brewery.kernel.access import Role
from brewery.kernel.models import User
from brewery.production.models import Brew, PackagingRun
from brewery.production.services import (
    additions,
    dispatch,
    filtrations,
    harvests,
    knock_outs,
    packaging,
    pitches,
    propagations,
    run_ends,
    transfers,
    work,
)
from brewery.production.services.filled_tanks import TankDraw
from brewery.production.services.tanks import Fill
from brewery.science.units import to_micro
from inventory.models import Balance, Cleaning, Decision, Event, Location, Lot, Material, Party, ServiceMark
from inventory.services import (
    cleanings,
    counts,
    decisions,
    deliveries,
    disposals,
    moves,
    registers,
    reversals,
    vessels,
)
from inventory.services.stock import Part
from tests.standing import built_once

START = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)
PASSWORD = "three barley corns"

MATERIALS: tuple[tuple[str, str, str, str, dict[str, Any]], ...] = (
    ("PILS", "Pilsner malt", "malt", "kg", {}),
    ("MUNICH", "Munich malt", "malt", "kg", {"arrives": "quarantined"}),
    ("SAAZ", "Saaz", "hop", "kg", {}),
    ("CASCADE", "Cascade", "hop", "kg", {}),
    ("YEAST", "Lager yeast", "yeast", "kg", {}),
    ("GYPSUM", "Gypsum", "salt", "kg", {}),
    ("ISINGLASS", "Isinglass", "fining", "L", {}),
    ("KIESELGUHR", "Kieselguhr", "filter_aid", "kg", {}),
    ("CROWN", "Crown corks", "packaging", "each", {}),
    ("WORT", "Lager wort", "wort", "L", {}),
    ("LAGER", "Quillmere Lager", "beer", "L", {}),
    ("KEG50", "Quillmere Lager, 50 L keg", "packaged", "each", {"contents_micro": 50_000_000}),
    ("BOTTLE500", "Quillmere Lager, 0.5 L bottle", "packaged", "each", {"contents_micro": 500_000}),
)
PARTIES = (
    ("MALTINGS", "Stowfield Maltings", "supplier"),
    ("HOPYARD", "Larkham Hop Yard", "supplier"),
    ("INN", "The Heron Inn", "customer"),
    ("MARKET", "Ferry Street Market", "customer"),
)
PLACES: tuple[tuple[str, str, str, dict[str, Any]], ...] = (
    ("STORE", "Dry store", "store", {}),
    ("COLD", "Cold store", "store", {}),
    ("SILO1", "Silo 1", "silo", {"filling": "mixed"}),
    ("SILO2", "Silo 2", "silo", {"filling": "layered"}),
    ("FV1", "Fermenter 1", "fermenter", {"capacity_micro": 4_000_000_000, "capacity_unit": "L"}),
    ("FV2", "Fermenter 2", "fermenter", {"capacity_micro": 4_000_000_000, "capacity_unit": "L"}),
    ("BT1", "Bright tank 1", "bright_tank", {}),
    ("BRINK1", "Yeast brink 1", "brink", {}),
    ("LAB", "Laboratory", "laboratory", {}),
)


class PersonFactory(factory.django.DjangoModelFactory):
    """One person who can sign in with `PASSWORD`; `role` is a group's name, or nothing."""

    class Meta:
        model = User
        skip_postgeneration_save = True

    class Params:
        role = ""

    username = factory.Sequence(lambda number: f"person{number}")
    password = factory.django.Password(PASSWORD)


def person(username: str, role: str = "") -> User:
    """Make a person with the role, or with none."""
    user: User = PersonFactory(username=username)
    if role:
        user.groups.set(Group.objects.filter(name=role))
    return user


def micro(text: str) -> int:
    """Return "12.5 kg" in micro-units of its base unit."""
    amount, unit = text.split(" ", 1)
    return to_micro(amount, unit)


def rid() -> uuid.UUID:
    """Return a request id that was never used."""
    return uuid.uuid4()


def at(hours: float) -> datetime:
    """Return the moment so many hours after the tests' beginning of time."""
    return START + timedelta(hours=hours)


@dataclass
class Brewhouse:
    """People by role (`people["brewing"]`, and `people[""]` without one), and the steps of a chain as methods."""

    people: dict[str, User] = field(default_factory=dict)

    # Rows by code

    def material(self, code: str) -> Material:
        return Material.objects.get(code=code)

    def party(self, code: str) -> Party:
        return Party.objects.get(code=code)

    def place(self, code: str) -> Location:
        return Location.objects.get(code=code)

    def lot(self, code: str) -> Lot:
        """Return the lot of that code that was not made by mistake."""
        return Lot.objects.select_related("material").get(code=code, reversed_by=None)

    def brew(self, code: str) -> Brew:
        return Brew.objects.get(code=code)

    def run(self, code: str) -> PackagingRun:
        return PackagingRun.objects.get(code=code)

    def held(self, lot: str, place: str) -> int:
        """Return the micro-units of the lot that lie in the place."""
        row = Balance.objects.filter(lot__code=lot, location__code=place, lot__reversed_by=None).first()
        return row.quantity_micro if row else 0

    def parts(self, lines: Iterable[tuple[str, str, str]]) -> list[Part]:
        """Return (lot, place, quantity) lines as parts."""
        return [Part(self.lot(lot), self.place(place), micro(quantity)) for lot, place, quantity in lines]

    def by(self, role: str) -> dict[str, Any]:
        """Return what every service wants: who, and a request id never used."""
        return {"actor": self.people[role], "request_id": rid()}

    # Stock

    def deliver(
        self,
        material: str,
        lot: str,
        quantity: str,
        place: str = "STORE",
        *,
        hours: float = 0,
        supplier: str = "MALTINGS",
        note: str = "1",
        unclean: str = "",
        **facts: Any,
    ) -> Event:
        line = deliveries.ReceivedLot(
            self.material(material), lot, micro(quantity), self.place(place), **_yeast_is_young(material, facts)
        )
        return deliveries.receive_delivery(
            supplier=self.party(supplier),
            note_number=note,
            lines=[line],
            happened_at=at(hours),
            unclean_reason=unclean,
            **self.by("receiving"),
        )

    def move(
        self, lot: str, from_: str, to: str, quantity: str, *, hours: float, contents: str = "", unclean: str = ""
    ) -> Event:
        """`contents`: code of the new contents where a mixed silo still holds another lot."""
        return moves.move_stock(
            lot=self.lot(lot),
            from_location=self.place(from_),
            to_location=self.place(to),
            quantity_micro=micro(quantity),
            contents_code=contents,
            happened_at=at(hours),
            unclean_reason=unclean,
            **self.by("receiving"),
        )

    def count(self, lot: str, place: str, quantity: str, *, hours: float, reason: str = "counted") -> Event:
        return counts.count_stock(
            lot=self.lot(lot),
            location=self.place(place),
            counted_micro=micro(quantity),
            reason=reason,
            happened_at=at(hours),
            **self.by("accounting"),
        )

    def destroy(self, lot: str, place: str, quantity: str, *, hours: float, reason: str = "spoiled") -> Event:
        return disposals.destroy(
            lot=self.lot(lot),
            location=self.place(place),
            quantity_micro=micro(quantity),
            reason=reason,
            happened_at=at(hours),
            **self.by("quality"),
        )

    def sample(self, lot: str, place: str, quantity: str, *, hours: float) -> Event:
        return disposals.take_sample(
            lot=self.lot(lot),
            location=self.place(place),
            laboratory=self.place("LAB"),
            quantity_micro=micro(quantity),
            happened_at=at(hours),
            **self.by("quality"),
        )

    def decide(self, lot: str, disposition: str, *, hours: float, reason: str = "looked at") -> Decision:
        return decisions.decide_on_lot(
            lot=self.lot(lot), disposition=disposition, reason=reason, happened_at=at(hours), **self.by("quality")
        )

    def reverse(self, event: Event, *, reason: str = "entered by mistake") -> Event:
        return reversals.reverse_event(event=event, reason=reason, **self.by("quality"))

    def clean(self, *places: str, hours: float, programme: str = "caustic and acid") -> Cleaning:
        """Every one of the vessels; the last cleaning is returned."""
        done = [
            cleanings.clean_vessel(
                vessel=self.place(place), programme=programme, happened_at=at(hours), **self.by("brewing")
            )
            for place in places
        ]
        return done[-1]

    def withdraw(self, cleaning: Cleaning, *, reason: str = "another tank was meant") -> Cleaning:
        return cleanings.withdraw_cleaning(cleaning=cleaning, reason=reason, **self.by("brewing"))

    def out_of_service(self, place: str, *, hours: float, reason: str = "the manway leaks") -> ServiceMark:
        return vessels.take_out_of_service(
            vessel=self.place(place), reason=reason, happened_at=at(hours), **self.by("brewing")
        )

    def into_service(self, place: str, *, hours: float, reason: str = "repaired") -> ServiceMark:
        return vessels.put_back_into_service(
            vessel=self.place(place), reason=reason, happened_at=at(hours), **self.by("brewing")
        )

    # Brewing

    def start_brew(self, code: str, *, hours: float, beer: str = "LAGER") -> Brew:
        return work.start_brew(code=code, beer=self.material(beer), started_at=at(hours), **self.by("brewing"))

    def start_run(self, code: str, *, hours: float, beer: str = "LAGER") -> PackagingRun:
        return work.start_packaging_run(code=code, beer=self.material(beer), started_at=at(hours), **self.by("brewing"))

    def draw(self, into: Brew | PackagingRun, *lines: tuple[str, str, str], hours: float, reason: str = "") -> Event:
        told = {"happened_at": at(hours), "reason": reason, **self.by("brewing")}
        return work.draw_for(work=into, parts=self.parts(lines), **told)

    def bring_back(
        self,
        out_of: Brew | PackagingRun,
        *lines: tuple[str, str, str],
        hours: float,
        contents: str = "",
        unclean: str = "",
    ) -> Event:
        return work.return_from(
            work=out_of,
            parts=self.parts(lines),
            happened_at=at(hours),
            contents_code=contents,
            unclean_reason=unclean,
            **self.by("brewing"),
        )

    def knock_out(
        self,
        brew: Brew,
        wort: str,
        fills: Mapping[str, str | tuple[str, str]],
        *,
        hours: float,
        loss: str = "0 L",
        material: str = "WORT",
        role: str = "brewing",
        override: str = "",
        unclean: str = "",
    ) -> Event:
        """`fills`: vessel to volume, or to (volume, code of the new contents) where the vessel is occupied."""
        return knock_outs.knock_out(
            brew=brew,
            wort_material=self.material(material),
            wort_code=wort,
            fills=[self._fill(vessel, fill) for vessel, fill in fills.items()],
            loss_micro=micro(loss),
            happened_at=at(hours),
            override_reason=override,
            unclean_reason=unclean,
            **self.by(role),
        )

    def _fill(self, vessel: str, fill: str | tuple[str, str]) -> Fill:
        volume, code = (fill, "") if isinstance(fill, str) else fill
        return Fill(self.place(vessel), micro(volume), code)

    def pitch(self, vessel: str, contents: str, *yeasts: tuple[str, str, str], hours: float) -> Event:
        return pitches.pitch(
            vessel=self.place(vessel),
            beer=self.material("LAGER"),
            contents_code=contents,
            yeasts=self.parts(yeasts),
            happened_at=at(hours),
            **self.by("brewing"),
        )

    def add(self, vessel: str, contents: str, *lines: tuple[str, str, str], hours: float) -> Event:
        return additions.add_to_tank(
            vessel=self.place(vessel),
            contents_code=contents,
            additions=self.parts(lines),
            happened_at=at(hours),
            **self.by("brewing"),
        )

    def transfer(
        self,
        from_: str,
        to: str,
        quantity: str,
        *,
        hours: float,
        loss: str = "0 L",
        contents: str = "",
        kind: str = "transfer",
        role: str = "brewing",
        override: str = "",
        unclean: str = "",
    ) -> Event:
        return transfers.transfer(
            from_vessel=self.place(from_),
            to_vessel=self.place(to),
            quantity_micro=micro(quantity),
            loss_micro=micro(loss),
            contents_code=contents,
            kind=kind,
            happened_at=at(hours),
            override_reason=override,
            unclean_reason=unclean,
            **self.by(role),
        )

    def harvest(
        self,
        vessel: str,
        beer: str,
        yeast: str,
        quantity: str,
        place: str = "BRINK1",
        *,
        hours: float,
        unclean: str = "",
        override: str = "",
        is_reported: bool = True,
        role: str = "brewing",
    ) -> Event:
        return harvests.harvest_yeast(
            vessel=self.place(vessel),
            beer_micro=micro(beer),
            yeast_code=yeast,
            yeast_micro=micro(quantity),
            location=self.place(place),
            happened_at=at(hours),
            unclean_reason=unclean,
            override_reason=override,
            is_reported=is_reported,
            **self.by(role),
        )

    def propagate(
        self,
        yeast: str,
        mother: tuple[str, str, str],
        *medium: tuple[str, str, str],
        quantity: str = "4 kg",
        place: str = "COLD",
        hours: float,
    ) -> Event:
        (part,) = self.parts([mother])
        return propagations.propagate_yeast(
            mother=part,
            medium=self.parts(medium),
            yeast_code=yeast,
            yeast_micro=micro(quantity),
            location=self.place(place),
            happened_at=at(hours),
            **self.by("brewing"),
        )

    def filter(
        self,
        from_: str,
        to: str,
        contents: str,
        quantity: str,
        *aids: tuple[str, str, str],
        hours: float,
        loss: str = "0 L",
        unclean: str = "",
    ) -> Event:
        return filtrations.filter_beer(
            from_vessel=self.place(from_),
            to_vessel=self.place(to),
            contents_code=contents,
            quantity_micro=micro(quantity),
            loss_micro=micro(loss),
            aids=self.parts(aids),
            happened_at=at(hours),
            unclean_reason=unclean,
            **self.by("brewing"),
        )

    # Packaging and dispatch

    def package(
        self,
        run: PackagingRun,
        vessel: str,
        packaged: str,
        count: int,
        *,
        hours: float,
        material: str = "KEG50",
        loss: str = "0 L",
        place: str = "COLD",
    ) -> Event:
        return packaging.package(
            run=run,
            vessel=self.place(vessel),
            material=self.material(material),
            packaged_code=packaged,
            count=count,
            loss_micro=micro(loss),
            location=self.place(place),
            happened_at=at(hours),
            **self.by("brewing"),
        )

    def fill(
        self,
        run: PackagingRun,
        tanks: Iterable[tuple[str, str, str, str]],
        packaged: str,
        count: int,
        *,
        hours: float,
        rejects: int = 0,
        material: str = "BOTTLE500",
        place: str = "COLD",
        loss: str = "0 L",
        used: Iterable[tuple[str, str, str]] | None = None,
        wasted: Iterable[tuple[str, str, str]] = (),
        still_to_come: int = 0,
        gauge_reason: str = "",
    ) -> Event:
        """`tanks`: vessel, what its gauge said at start and at end, what left it by another reading; "" for unread."""
        return packaging.fill(
            run=run,
            material=self.material(material),
            tanks=[
                TankDraw(self.place(vessel), *(micro(read) if read else None for read in reads))
                for vessel, *reads in tanks
            ],
            counted=packaging.Counted(count, rejects, packaged),
            location=self.place(place),
            loss_micro=micro(loss),
            used=None if used is None else self.parts(used),
            wasted=self.parts(wasted),
            still_to_come=still_to_come,
            gauge_reason=gauge_reason,
            happened_at=at(hours),
            **self.by("brewing"),
        )

    def finish_run(
        self, run: PackagingRun, *returns: tuple[str, str, str], hours: float, loss_reason: str = "torn"
    ) -> Event:
        """Each of the returns names the store that it goes to; the rest of what was drawn is lost."""
        return run_ends.finish_run(
            run=run,
            returns=self.parts(returns),
            loss_reason=loss_reason,
            happened_at=at(hours),
            **self.by("brewing"),
        )

    def ship(self, customer: str, *lines: tuple[str, str, str], hours: float, note: str = "S1") -> Event:
        return dispatch.ship(
            customer=self.party(customer),
            note_number=note,
            parts=self.parts(lines),
            happened_at=at(hours),
            **self.by("receiving"),
        )

    def take_back(self, customer: str, *lines: tuple[str, str, str], hours: float, reason: str = "leaks") -> Event:
        return dispatch.take_back(
            customer=self.party(customer),
            parts=self.parts(lines),
            reason=reason,
            happened_at=at(hours),
            **self.by("receiving"),
        )

    # Chains

    def stock_up(self) -> None:
        """One lot of every raw material lies in the stores: M1, H1, H2, Y1, S1, F1, A1 and K1."""
        self.deliver("PILS", "M1", "1000 kg", "SILO1")
        self.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
        self.deliver("CASCADE", "H2", "20 kg", supplier="HOPYARD")
        self.deliver("YEAST", "Y1", "50 kg", "COLD")
        self.deliver("GYPSUM", "S1", "25 kg")
        self.deliver("ISINGLASS", "F1", "10 L", "COLD")
        self.deliver("KIESELGUHR", "A1", "100 kg")
        self.deliver("CROWN", "K1", "10000 each")

    def ferment(self, *, hours: float = 2, number: int = 1, vessel: str = "FV1") -> None:
        """Brew B<n> of 200 kg M1 and 2 kg H1 is 1000 L of wort W<n>, pitched in the vessel as beer T<n>."""
        brew = self.start_brew(f"B{number}", hours=hours)
        self.draw(brew, ("M1", "SILO1", "200 kg"), ("H1", "STORE", "2 kg"), hours=hours)
        self.knock_out(brew, f"W{number}", {vessel: "1000 L"}, loss="30 L", hours=hours + 8)
        self.pitch(vessel, f"T{number}", ("Y1", "COLD", "10 kg"), hours=hours + 9)

    def whole_chain(self) -> None:
        """From delivery to a customer's return: M1, H1, Y1 → W1 → T1 → D1 → BB1 → KEG1, 4 at the inn, 1 back."""
        self.stock_up()
        self.ferment()
        self.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)
        self.harvest("FV1", "20 L", "Y2", "22 kg", hours=150)
        self.filter("FV1", "BT1", "BB1", "900 L", ("A1", "STORE", "1 kg"), loss="10 L", hours=300)
        run = self.start_run("R1", hours=310)
        self.draw(run, ("K1", "STORE", "10 each"), hours=310)
        self.package(run, "BT1", "KEG1", 10, loss="5 L", hours=312)
        self.ship("INN", ("KEG1", "COLD", "4 each"), hours=320)
        self.take_back("INN", ("KEG1", "COLD", "1 each"), hours=340)


def _yeast_is_young(material: str, facts: dict[str, Any]) -> dict[str, Any]:
    """A bought culture is generation 1 unless a test says otherwise."""
    return {"generation": 1, **facts} if material == "YEAST" else facts


def open_brewhouse() -> Brewhouse:
    """Enter people and registers, and return the brewhouse. Its stores are empty."""
    house = Brewhouse(people={role.value: person(role.value, role.value) for role in Role} | {"": person("guest")})
    for code, name, kind, unit, more in MATERIALS:
        facts = {"arrives": "released", **more}
        registers.add_material(code=code, name=name, kind=kind, base_unit=unit, **facts, **house.by("administration"))
    for code, name, role in PARTIES:
        registers.add_party(code=code, name=name, role=role, **house.by("administration"))
    for code, name, kind, more in PLACES:
        registers.add_location(code=code, name=name, kind=kind, **more, **house.by("administration"))
    return house


@built_once
def brewhouse(db: None) -> Brewhouse:
    """A brewhouse with people and registers and empty stores."""
    return open_brewhouse()


@built_once
def whole_chain(brewhouse: Brewhouse) -> None:
    """The brewhouse has a whole chain on record."""
    brewhouse.whole_chain()
