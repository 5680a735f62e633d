"""How a lot stands: what was decided on it, what its certificates say, what it carries and may be called."""

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.models import User
from brewery.science.allergens import CAUTION
from inventory.models import Certificate, Decision, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.queries.certificates import certificates, properties_of
from inventory.queries.judgements import Judgement, judgement_of
from traceability.queries.allergens import Profile, profile_of
from traceability.queries.graph import ALL_KINDS
from traceability.queries.trace import Trace


@dataclass(frozen=True)
class Standing:
    """All that a lot's page says of its quality."""

    decisions: list[Decision]
    certificates: list[Certificate]
    judgement: Judgement
    profile: Profile
    caution: str = CAUTION

    @property
    def has_certificates(self) -> bool:
        """Whether certificates are kept of such lots."""
        return bool(properties_of(self.profile.lot.material.kind))

    @property
    def waits_for_results(self) -> bool:
        """Whether results stand against the release of packaged beer, which is not released."""
        lot = self.profile.lot
        is_packaged = lot.material.kind == Material.Kind.PACKAGED
        return is_packaged and lot.disposition != Disposition.RELEASED and bool(self.judgement.faults)

    @property
    def silence(self) -> str:
        """That of some grain no allergen is on record; empty where none is missing."""
        if not self.profile.silent:
            return ""
        names = ", ".join(material.name for material in self.profile.silent)
        return f"No allergen is on record of {names}. Until somebody has looked them up, this list is not whole."

    @property
    def named_in_eu(self) -> str:
        """The groups that the European law wants named."""
        return ", ".join(self.profile.named_in_eu) or "none on record"

    @property
    def named_in_us(self) -> str:
        """The groups that the American law wants named."""
        return ", ".join(self.profile.named_in_us) or "none on record"


def standing_of(lot: Lot, back: Trace) -> Standing:
    """Return how a lot stands today; `back` is a trace of it, which spares a question where it is of now and whole."""
    is_whole = back.as_of is None and back.kinds == ALL_KINDS
    return Standing(
        list(lot.decisions.select_related("actor").order_by("-pk")),
        list(certificates().filter(lot=lot).order_by("-pk")),
        judgement_of(lot, brewery_day()),
        profile_of(lot, back.steps if is_whole else None),
    )


def quality_actions(lot: Lot, person: User) -> list[dict[str, str]]:
    """Return what of quality the person may do with the lot."""
    actions = []
    if person.has_right(Right.CERTIFY) and properties_of(lot.material.kind):
        actions.append(
            {"label": "Enter a certificate", "href": f"{reverse('new-certificate')}?{urlencode({'lot': lot.code})}"}
        )
    if person.has_right(Right.DECIDE):
        held = f"{reverse('new-hold')}?{urlencode({'lots': lot.code})}"
        recall = f"{reverse('new-recall')}?{urlencode({'lots': lot.code})}"
        actions.append({"label": "Recall it", "href": recall})
        actions.append({"label": "Hold it and all that comes of it", "href": held})
    if person.has_right(Right.SEND_BACK) and lot.disposition == Disposition.REJECTED and lot.supplier_id:
        actions.append({"label": "Send it back", "href": reverse("send-back", args=[lot.pk])})
    return actions
