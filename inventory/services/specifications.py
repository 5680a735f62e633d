"""Specifications: what a property of a material must keep to, set anew from a day on."""

from datetime import date
from uuid import UUID

from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science.properties import Property, plain, plausible
from inventory.models import Material, Specification
from inventory.queries.certificates import properties_of


@once("set_specification", returns=Specification)
def set_specification(
    *,
    material: Material,
    property: str,
    in_force_from: date,
    actor: User,
    request_id: UUID,
    least_micro: int | None = None,
    most_micro: int | None = None,
    source: str = "",
    is_withdrawn: bool = False,
) -> Specification:
    """From that day on the property keeps to the limits, both inclusive, in millionths of its unit.

    Without a limit it must be stated; `is_withdrawn`: it is asked for no longer. Lots that were judged before stay as
    they were decided. Raises InvalidInput.
    """
    measured = property_named(material, property, "property")
    for field, limit in (("least", least_micro), ("most", most_micro)):
        _refuse_limit(measured, field, limit, is_withdrawn)
    if least_micro is not None and most_micro is not None and least_micro > most_micro:
        raise InvalidInput(field="most", value=plain(most_micro), problem="It is less than the least that is asked.")
    return Specification.objects.create(
        material=material,
        property=property,
        least_micro=least_micro,
        most_micro=most_micro,
        is_withdrawn=is_withdrawn,
        in_force_from=in_force_from,
        source=source,
        request_id=request_id,
    )


def property_named(material: Material, key: str, field: str) -> Property:
    """Return the property of that key. Raises InvalidInput where certificates of the material do not state it."""
    properties = properties_of(material.kind)
    if key in properties:
        return properties[key]
    what = material.get_kind_display()
    problem = f"Certificates of {what} state: {', '.join(properties)}." if properties else _none_kept(what)
    raise InvalidInput(field=field, value=key, problem=problem)


def _none_kept(what: str) -> str:
    return f"No certificates of {what} are kept."


def _refuse_limit(measured: Property, field: str, limit: int | None, is_withdrawn: bool) -> None:
    if limit is None:
        return
    if is_withdrawn:
        raise InvalidInput(field=field, value=plain(limit), problem="What is asked for no longer has no limits.")
    if not measured.is_number:
        raise InvalidInput(
            field=field, value=plain(limit), problem=f"{measured.label} is said in words and has no limits."
        )
    if not measured.least_micro <= limit <= measured.most_micro:
        raise InvalidInput(field=field, value=plain(limit), problem=f"Plausible is {plausible(measured)}.")
