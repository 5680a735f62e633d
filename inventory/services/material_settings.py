"""Settings of a material: how it arrives, what is let pass, what it is and carries, and what may be said of it."""

from collections.abc import Collection, Mapping
from typing import Any
from uuid import UUID

from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science.allergens import ALLERGENS, CLAIMS, EXEMPT_IN_EU, Traits, contradictions
from brewery.science.salts import SALTS
from inventory.models import Material
from inventory.models.dispositions import Disposition
from inventory.queries.materials import SETTINGS, lots_inside, version_of
from inventory.services.alert_bells import Bell, ring_for_alerts
from inventory.services.claims import refuse_contradicted

ARRIVALS = (Disposition.QUARANTINED, Disposition.RELEASED, Disposition.ON_HOLD)
"""What a lot may be when it arrives: waiting for a certificate or quality, released, or waiting for quality alone."""

_RANGES = {
    "delivery_tolerance_ppm": (0, 1_000_000),
    "count_tolerance_ppm": (0, 1_000_000),
    "warmest_arrival_milli_c": (-50_000, 100_000),
    "shelf_life_days": (1, 3_650),
    "told_days_before": (0, 3_650),
    "open_days": (0, 3_650),
}
_LISTS: Mapping[str, Collection[str]] = {
    "allergens": ALLERGENS,
    "allergens_exempt_in_eu": EXEMPT_IN_EU,
    "claims": CLAIMS,
}


class SettingsChanged(DomainError):
    code = "settings_changed"
    title = "Somebody changed the settings meanwhile."
    template = "Since you looked at material {material}, its settings were changed."
    advice = "Look at them as they are now, and change them again if need be."


class MaterialContradicts(DomainError):
    code = "material_contradicts"
    title = "What it carries contradicts the claim."
    template = "{material} carries {words}, so it cannot be called {claim}."
    advice = "Take the claim off, or correct what it carries."


@once("set_up_material", returns=Material)
def set_up_material(
    *, material: Material, version: str, changes: Mapping[str, Any], actor: User, request_id: UUID
) -> Material:
    """The settings of the material are what `changes` say; the keys are among SETTINGS.

    Lots that are there keep what was decided on them. Raises SettingsChanged where a setting was changed since
    `version`, InvalidInput, MaterialContradicts, ClaimsContradicted for a new claim that a lot on hand contradicts.
    """
    locked = Material.objects.select_for_update().get(pk=material.pk)
    if version_of(locked) != version:
        raise SettingsChanged(material=locked.code, field="version")
    return _change(locked, changes)


@once("enter_settings", returns=Material)
def enter_settings(*, material: Material, changes: Mapping[str, Any], actor: User, request_id: UUID) -> Material:
    """As `set_up_material`, for settings that are carried over and that nobody looked at before."""
    return _change(Material.objects.select_for_update().get(pk=material.pk), changes)


def _change(locked: Material, changes: Mapping[str, Any]) -> Material:
    claimed = set(locked.claims)
    for name, value in changes.items():
        setattr(locked, name, _checked(name, value))
    _refuse_exemptions(locked)
    _refuse_claims(locked)
    if locked.salt and locked.kind != Material.Kind.SALT:
        problem = f"Only a salt says which it is; {locked.name} is of the kind {locked.get_kind_display()}."
        raise InvalidInput(field="salt", value=locked.salt, problem=problem)
    if locked.container and locked.kind != Material.Kind.PACKAGED:
        problem = f"Only packaged beer is in a container; {locked.name} is of the kind {locked.get_kind_display()}."
        raise InvalidInput(field="container", value=locked.container, problem=problem)
    locked.save(update_fields=[name for name in SETTINGS if name in changes])
    ring_for_alerts(Bell.DISPOSITION)
    if set(locked.claims) - claimed:
        refuse_contradicted(lots_inside(locked))
    return locked


def _checked(name: str, value: Any) -> Any:
    """Return the value as it is kept. Raises InvalidInput."""
    if name not in SETTINGS:
        raise InvalidInput(field=name, value=value, problem=f"What may be set is: {', '.join(SETTINGS)}.")
    if name == "arrives" and value not in ARRIVALS:
        raise InvalidInput(field=name, value=value, problem=f"Choose one of: {', '.join(ARRIVALS)}.")
    if name in _RANGES and value is not None:
        least, most = _RANGES[name]
        if not least <= value <= most:
            raise InvalidInput(field=name, value=value, problem=f"Give a whole number from {least} to {most}.")
    if name == "salt" and value and value not in SALTS:
        raise InvalidInput(field=name, value=value, problem=f"Choose one of: {', '.join(SALTS)}.")
    if name == "container" and value and value not in Material.Container:
        raise InvalidInput(field=name, value=value, problem=f"Choose one of: {', '.join(Material.Container)}.")
    if name in _LISTS:
        return _in_order(name, value)
    return value


def _in_order(name: str, value: Collection[str]) -> list[str]:
    known = _LISTS[name]
    for code in value:
        if code not in known:
            raise InvalidInput(field=name, value=code, problem=f"Choose from: {', '.join(known)}.")
    return [code for code in known if code in value]


def _refuse_exemptions(material: Material) -> None:
    for code in material.allergens_exempt_in_eu:
        if code not in material.allergens:
            problem = "Only an allergen that it carries can be exempt."
        elif code == "fish" and material.kind != Material.Kind.FINING:
            problem = f"Exempt is {EXEMPT_IN_EU[code]}, so the material is a fining."
        else:
            continue
        raise InvalidInput(field="allergens_exempt_in_eu", value=code, problem=problem)


def _refuse_claims(material: Material) -> None:
    traits = Traits(
        frozenset(material.allergens),
        frozenset(material.allergens_exempt_in_eu),
        material.is_of_animal_origin,
        frozenset(material.claims),
    )
    for code in material.claims:
        words = contradictions(CLAIMS[code], traits)
        if words:
            raise MaterialContradicts(
                material=material.name, words=", ".join(words), claim=CLAIMS[code].label, field="claims"
            )
