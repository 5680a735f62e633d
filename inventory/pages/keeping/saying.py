"""What people say of how a hop lot keeps: a pack was opened or sealed, and how quickly its alpha acids go."""

from decimal import Decimal
from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, WritingForm
from brewery.science.hops import Pack
from brewery.science.units import MICRO
from inventory.models import Lot
from inventory.pages.stock.handling import lot_at
from inventory.services.hop_keeping import change_pack, give_hop_rate


class PackForm(HappenedForm):
    """In what pack the rest of the lot lies from when on."""

    names = {"since": "happened_at"}
    moment = "since"

    pack = forms.ChoiceField(label="Pack", choices=[(pack.value, pack.value) for pack in Pack])


class RateForm(WritingForm):
    """What the lot, or every lot of the hop, loses."""

    loss_pct = forms.DecimalField(
        label="Loss in 180 days at 20 °C in the open, %",
        required=False,
        max_digits=8,
        decimal_places=4,
        help_text="Leave it empty to go by the assays and what is published again.",
    )
    source = forms.CharField(label="Who found it, and where it can be looked up", max_length=200)
    of_all = forms.BooleanField(label="For every lot of this hop", required=False)


class HopPage(FormPage, is_a_kind_of_page=True):
    """A form about one hop lot."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/keeping/saying.html"
    title: ClassVar[str]
    explained: ClassVar[str]

    @property
    def lot(self) -> Lot:
        """The lot that the address names. Raises Http404."""
        return lot_at(self.kwargs["lot"])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        facts = {"lot": self.lot, "title": self.title, "explained": self.explained}
        return super().get_context_data(**{**kwargs, **facts})


class PackPage(HopPage):
    """Says in what pack the rest of a hop lot lies."""

    right: ClassVar[Right] = Right.MOVE_STOCK
    write_right: ClassVar[Right] = Right.MOVE_STOCK
    form_class = PackForm
    title = "The pack of"
    explained = (
        "From then on all that is left of the lot is reckoned in this pack, wherever it lies. Where only some boxes "
        "were opened the figure is too low for the others: use the opened ones first."
    )

    def write(self, form: Any) -> str:
        """Write it down."""
        lot, asked = self.lot, form.cleaned_data
        change_pack(
            lot=lot,
            pack=asked["pack"],
            since=asked["happened_at"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        messages.success(self.request, f"{lot} lies in this pack: {asked['pack']}.")
        return reverse("lot-keeping", args=[lot.pk])


class GiveRatePage(HopPage):
    """Says how quickly the alpha acids of a lot, or of a hop, go."""

    right: ClassVar[Right] = Right.SPECIFY
    write_right: ClassVar[Right] = Right.SPECIFY
    form_class = RateForm
    title = "How quickly the alpha acids go in"
    explained = "It takes the place of what is published of the cultivar, and of what two assays say of the lot."

    def write(self, form: Any) -> str:
        """Write it down."""
        lot, asked = self.lot, form.cleaned_data
        loss: Decimal | None = asked["loss_pct"]
        of = {"material": lot.material} if asked["of_all"] else {"lot": lot}
        give_hop_rate(
            loss_micro_pct=None if loss is None else int(loss * MICRO),
            source=asked["source"],
            actor=self.person,
            request_id=asked["request_id"],
            **of,
        )
        messages.success(self.request, f"{lot} is reckoned anew.")
        return reverse("lot-keeping", args=[lot.pk])
