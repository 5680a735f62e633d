"""What packaged beer is in, as a duty scheme reckons with it and as people read it."""

from brewery.science.duty.movements import Container, ContainerKind
from inventory.models import Material

KEG_MICRO_L = 14 * 10**6
"""Where nobody told, what holds as much is taken for a keg, filled by racking; less for a case, filled by bottling:
cases hold up to 12 L, and kegs that are sold from 15 L. Common practice, no source."""

_DISPENSED = frozenset({Material.Container.KEG, Material.Container.CASK})


def container_of(contents_micro: int, told: str) -> Container | None:
    """Return the container of so many millionths of a litre; None for beer in tanks.

    Made for a dispense system is only what is told to be a keg or a cask: nothing is paid less by guessing.
    """
    if not contents_micro:
        return None
    is_keg = told in _DISPENSED if told else contents_micro >= KEG_MICRO_L
    kind = ContainerKind.KEG if is_keg else ContainerKind.CASE
    return Container(kind, contents_micro, dispense=told in _DISPENSED)


def container_words(told: str, litres: str | None) -> str:
    """Return what one package is, such as "keg 50 L"; nothing for beer in tanks."""
    return f"{told} {litres} L".strip() if litres else ""
