"""Beer from tank to tank: whole or in part, blended into what is there, or as kraeusen."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.cellar.cautions import GAS
from brewery.production.pages.cellar.fields import TankField, VolumeField, unclean_field
from brewery.production.pages.cellar.work import CODE_LENGTH, Held, WorkForm, WorkPage, held_in_vessel
from brewery.production.services.transfers import transfer
from brewery.science.kraeusen import USUAL_SHARE, kraeusen_shares
from brewery.science.units import MICRO
from inventory.models import Event

_L_IN_HL = 100


class TransferForm(WorkForm):
    """Where the beer goes, how much of it, and what is lost."""

    names: ClassVar[Mapping[str, str]] = {"vessel": "", "from_vessel": "", "quantity_micro": "quantity"}

    to_vessel = TankField(label="Into")
    quantity = VolumeField(
        label="Arrives there", required=False, help_text="In litres. Left empty: all of it, less the loss."
    )
    loss = VolumeField(label="Lost on the way", required=False, help_text="In litres.")
    contents_code = forms.CharField(
        label="Code of the new contents",
        required=False,
        max_length=CODE_LENGTH,
        help_text="Where the other tank holds something, or was not cleaned: what is in it then is a new lot.",
    )
    unclean_reason = unclean_field()

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["to_vessel"].offer(self.held.vessel)  # type: ignore[attr-defined] # it is a TankField


class TransferPage(WorkPage):
    """Transfers from the tank into another."""

    right = write_right = Right.CELLAR
    form_class = TransferForm
    title, submit, done = "Transfer into another tank", "Transfer it", "transferred"
    cautions = (GAS,)

    def told(self, form: Any) -> list[str]:
        """Tell that what the other tank holds becomes one lot with this, and which shares both have."""
        there = held_in_vessel(form.cleaned_data["to_vessel"].code)
        if there.lot is None or there.lot == form.held.lot:
            return []
        arrives = form.cleaned_data["quantity"] or form.held.quantity_micro - (form.cleaned_data["loss"] or 0)
        together = there.quantity_micro + arrives
        return [
            f"{there.vessel.name} holds {quantity(there.quantity_micro, 'L')} of lot {there.lot.code}: this makes a "
            f"blend of {quantity(together, 'L')}, {100 * max(0, arrives) / max(1, together):.1f} % of it from "
            f"{form.held.vessel.name}. The trace of the blend holds the brews of both."
        ]

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Transfer it."""
        asked = form.cleaned_data
        transfer(
            from_vessel=held.vessel,
            to_vessel=asked["to_vessel"],
            quantity_micro=asked["quantity"],
            loss_micro=asked["loss"] or 0,
            contents_code=asked["contents_code"],
            unclean_reason=asked["unclean_reason"],
            **facts,
        )


class KraeusenForm(WorkForm):
    """From which tank fermenting wort comes in beside the green beer of this one."""

    names: ClassVar[Mapping[str, str]] = {"vessel": "", "to_vessel": "", "quantity_micro": "quantity"}

    from_vessel = TankField(label="Kraeusen out of")
    quantity = VolumeField(label="How much comes in", help_text="In litres.")
    loss = VolumeField(label="Lost on the way", required=False, help_text="In litres.")
    contents_code = forms.CharField(label="Code of the new contents", max_length=CODE_LENGTH)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        field: Any = self.fields["from_vessel"]
        field.offer(self.held.vessel, only_full=True)


class KraeusenPage(WorkPage):
    """Puts kraeusen to the green beer in the tank."""

    right = write_right = Right.CELLAR
    form_class = KraeusenForm
    title, submit, done = "Add kraeusen", "Add the kraeusen", "kraeusen added"
    cautions = (GAS,)

    def told(self, form: Any) -> list[str]:
        """Tell the share of the green beer and of the blend, and what is unusual of it."""
        held, kraeusen_micro = form.held, form.cleaned_data["quantity"]
        if not held.quantity_micro:
            return []
        shares = kraeusen_shares(kraeusen_micro / MICRO / _L_IN_HL, held.quantity_micro / MICRO / _L_IN_HL)
        told = (
            f"{quantity(kraeusen_micro, 'L')} is {shares.of_green_beer_pct:.1f} % of the green beer and "
            f"{shares.of_blend_pct:.1f} % of the blend, which then holds the brews and the yeast of both tanks."
        )
        doubt = USUAL_SHARE.doubt(round(shares.of_green_beer_pct, 1))
        return [told, doubt] if doubt else [told]

    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Add it."""
        asked = form.cleaned_data
        transfer(
            from_vessel=asked["from_vessel"],
            to_vessel=held.vessel,
            quantity_micro=asked["quantity"],
            loss_micro=asked["loss"] or 0,
            contents_code=asked["contents_code"],
            kind=Event.Kind.KRAEUSEN,
            **facts,
        )
