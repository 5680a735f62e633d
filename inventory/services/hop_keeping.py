"""What people say of how a hop lot keeps: that a pack was opened or sealed, and how quickly its alpha acids go."""

from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.science.hops import Pack
from brewery.science.storage import LOSS_PCT
from brewery.science.units import MICRO
from inventory.models import HopRate, Lot, Material, PackChange
from inventory.services.checks import refuse_the_future
from inventory.services.refusals import MadeByMistake


class NoHop(DomainError):
    code = "no_hop"
    status = 400
    title = "Only hops lose alpha acids."
    template = "{name} is {kind}, no hop."
    advice = "Choose a hop."


@once("change_pack", returns=PackChange)
def change_pack(*, lot: Lot, pack: str, since: datetime, actor: User, request_id: UUID) -> PackChange:
    """From that moment on what is left of the hop lot lies in such a pack, wherever it lies.

    Raises NoHop, MadeByMistake, InTheFuture, InvalidInput for an unknown pack or a moment before the lot was there.
    """
    _refuse_no_hop(lot.material)
    _refuse_a_mistake(lot)
    if pack not in list(Pack):
        raise InvalidInput(field="pack", value=pack, problem=f"Choose one of {', '.join(Pack)}.")
    refuse_the_future(since, "since")
    if since < lot.made_at:
        told = f"The lot is there since {lot.made_at.isoformat()}."
        raise InvalidInput(field="since", value=since.isoformat(), problem=told)
    return PackChange.objects.create(
        lot=lot, pack=pack, since=since, recorded_at=now(), actor=actor, request_id=request_id
    )


@once("give_hop_rate", returns=HopRate)
def give_hop_rate(
    *,
    loss_micro_pct: int | None,
    source: str,
    actor: User,
    request_id: UUID,
    lot: Lot | None = None,
    material: Material | None = None,
) -> HopRate:
    """The hop lot, or every lot of the material, loses so much of its alpha acids in 180 days at 20 °C in the open.

    In millionths of a per cent; None takes back what was said before. Raises NoHop, MadeByMistake, InvalidInput.
    """
    if (lot is None) == (material is None):
        raise InvalidInput(field="lot", value="", problem="Name either a lot or a material.")
    _refuse_no_hop(lot.material if lot else material)
    if lot:
        _refuse_a_mistake(lot)
    _refuse_no_loss(loss_micro_pct)
    if not source.strip():
        raise InvalidInput(field="source", value="", problem="Say who found it, and where it can be looked up.")
    return HopRate.objects.create(
        lot=lot,
        material=material,
        loss_micro_pct=loss_micro_pct,
        source=source.strip(),
        recorded_at=now(),
        actor=actor,
        request_id=request_id,
    )


def _refuse_no_hop(material: Material | None) -> None:
    if material is None or material.kind != Material.Kind.HOP:
        raise NoHop(name=str(material), kind=material.get_kind_display() if material else "nothing", field="lot")


def _refuse_a_mistake(lot: Lot) -> None:
    if lot.reversed_by_id:
        raise MadeByMistake(lot=lot.code, field="lot")


def _refuse_no_loss(loss_micro_pct: int | None) -> None:
    if loss_micro_pct is not None and loss_micro_pct / MICRO not in LOSS_PCT:
        raise InvalidInput(field="loss_pct", value=loss_micro_pct / MICRO, problem=f"Give {LOSS_PCT}.")
