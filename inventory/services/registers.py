"""The registers: materials, parties and locations, each entered once under its code."""

from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Location, Material, Party
from inventory.models.dispositions import Disposition
from inventory.services.checks import in_words
from inventory.services.warmths import refuse_no_temperature


@once("add_material", returns=Material)
def add_material(
    *,
    code: str,
    name: str,
    kind: str,
    base_unit: str,
    actor: User,
    request_id: UUID,
    arrives: str = Disposition.QUARANTINED,
    contents_micro: int | None = None,
) -> Material:
    """Enter a material. `contents_micro` is the beer in one packaged each, in millionths of a litre."""
    refuse_code_in_use(Material.objects.filter(code=code).exists(), code)
    if (kind == Material.Kind.PACKAGED) != bool(contents_micro):
        raise InvalidInput(
            field="contents",
            value=None if contents_micro is None else in_words(contents_micro, Material.BaseUnit.L),
            problem="Packaged beer, and nothing else, says what one holds.",
        )
    return Material.objects.create(
        code=code, name=name, kind=kind, base_unit=base_unit, arrives=arrives, contents_micro=contents_micro
    )


@once("add_party", returns=Party)
def add_party(*, code: str, name: str, role: str, actor: User, request_id: UUID) -> Party:
    """Enter a supplier or customer, with its location in the ledger."""
    refuse_code_in_use(Party.objects.filter(code=code).exists(), code)
    return enter_party(code, name, role)


def enter_party(code: str, name: str, role: str) -> Party:
    """As `add_party`, within the caller's transaction and request."""
    party = Party.objects.create(code=code, name=name, role=role)
    Location.objects.create(
        code=f"{role}:{code}", name=name, kind=role, party=party, may_go_below_zero=role == Party.Role.SUPPLIER
    )
    return party


@once("add_location", returns=Location)
def add_location(
    *,
    code: str,
    name: str,
    kind: str,
    actor: User,
    request_id: UUID,
    filling: str = "",
    capacity_micro: int | None = None,
    capacity_unit: str = "",
    nominal_milli_c: int | None = None,
    band_micro: int | None = None,
    must_be_cleaned: bool | None = None,
) -> Location:
    """Enter a place inside the brewery. Tanks, brinks and mixed silos hold one lot at a time.

    Tanks and brinks must be cleaned between two uses unless `must_be_cleaned` says otherwise, silos only where it does.

    `band_micro` is, for a layered silo, how much beside the meeting of two layers may hold some of both.
    """
    refuse_code_in_use(Location.objects.filter(code=code).exists(), code)
    if kind not in Location.ENTERED:
        raise InvalidInput(field="kind", value=kind, problem="Give a kind of place inside the brewery.")
    if (kind == Location.Kind.SILO) != bool(filling):
        raise InvalidInput(field="filling", value=filling, problem="A silo, and nothing else, is mixed or layered.")
    if band_micro is not None and filling != Location.Filling.LAYERED:
        raise InvalidInput(field="band", value=filling, problem="Only a layered silo has a band between its layers.")
    refuse_cleaning_of_others(kind, must_be_cleaned)
    refuse_no_temperature(nominal_milli_c)
    return Location.objects.create(
        code=code,
        name=name,
        kind=kind,
        filling=filling,
        holds_one_lot=kind in Location.ONE_LOT or filling == Location.Filling.MIXED,
        capacity_micro=capacity_micro,
        capacity_unit=capacity_unit,
        nominal_milli_c=nominal_milli_c,
        band_micro=band_micro,
        must_be_cleaned=kind in Location.ONE_LOT if must_be_cleaned is None else must_be_cleaned,
    )


def refuse_cleaning_of_others(kind: str, must_be_cleaned: bool | None) -> None:
    """Raise InvalidInput where anything but a vessel is to be cleaned between two uses."""
    if must_be_cleaned and kind not in Location.VESSELS:
        raise InvalidInput(
            field="must_be_cleaned", value=kind, problem="Only a tank, brink or silo is cleaned between two uses."
        )


def refuse_code_in_use(in_use: bool, code: str) -> None:
    """Raise InvalidInput where another entry of the register bears the code."""
    if in_use:
        raise InvalidInput(field="code", value=code, problem="This code is in use already; choose another.")


def boundary(kind: Location.Kind) -> Location:
    """Return the one location of a boundary kind: transformed, loss, destroyed, count difference; made by `migrate`."""
    (place,) = Location.objects.filter(kind=kind)
    return place
