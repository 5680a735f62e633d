"""Customers: whom to ring in a recall, and how long beer must still keep when they get it."""

from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError, InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Material, MinimumLife, Party, PartyContact
from inventory.services.refusals import ReasonMissing, WrongMaterial

LONGEST_LIFE_DAYS = 3652


class NoCustomer(DomainError):
    code = "no_customer"
    status = 400
    title = "Only customers are shipped to."
    template = "{party} is a {role}; this needs a customer."
    advice = "Choose a customer."


class ContactReplaced(DomainError):
    code = "contact_replaced"
    title = "The contact is not the current one."
    template = "{name} of {party} was replaced or ended already."
    advice = "Look at the contacts as they are now."


@once("tell_contact", returns=PartyContact)
def tell_contact(
    *,
    party: Party,
    name: str,
    actor: User,
    request_id: UUID,
    role: str = "",
    phone: str = "",
    email: str = "",
    is_reachable_at_night: bool = False,
    note: str = "",
    replaces: PartyContact | None = None,
) -> PartyContact:
    """The person is a contact of the party from now on, in the place of `replaces` where one is given.

    Raises InvalidInput, ContactReplaced.
    """
    if not name.strip():
        raise InvalidInput(field="name", value=name, problem="Give the name of the person, or of the desk.")
    if not phone.strip() and not email.strip():
        raise InvalidInput(field="phone", value=phone, problem="Give a telephone number or an e-mail address.")
    _refuse_replaced(party, replaces)
    return PartyContact.objects.create(
        party=party,
        name=name.strip(),
        role=role,
        phone=phone.strip(),
        email=email.strip(),
        is_reachable_at_night=is_reachable_at_night,
        note=note,
        replaces=replaces,
        told_at=now(),
        actor=actor,
        request_id=request_id,
    )


@once("end_contact", returns=PartyContact)
def end_contact(*, contact: PartyContact, reason: str, actor: User, request_id: UUID) -> PartyContact:
    """The person is no contact any more; what was told of them stays on record.

    Raises ReasonMissing, ContactReplaced.
    """
    if not reason.strip():
        raise ReasonMissing(what="Ending a contact", field="reason")
    _refuse_replaced(contact.party, contact)
    return PartyContact.objects.create(
        party=contact.party,
        name=contact.name,
        note=reason.strip(),
        is_ended=True,
        replaces=contact,
        told_at=now(),
        actor=actor,
        request_id=request_id,
    )


@once("ask_minimum_life", returns=MinimumLife)
def ask_minimum_life(
    *, party: Party, days: int | None, actor: User, request_id: UUID, material: Material | None = None
) -> MinimumLife:
    """Beer for the customer keeps so many days on delivery, one material or all.

    None takes back what was asked for: a material then goes by what is asked for all.

    Raises NoCustomer, WrongMaterial, InvalidInput.
    """
    refuse_no_customer(party)
    if material and material.kind != Material.Kind.PACKAGED:
        kind = material.get_kind_display()
        raise WrongMaterial(lot=material.name, kind=kind, wanted="packaged beer", field="material")
    if days is not None and not 0 <= days <= LONGEST_LIFE_DAYS:
        raise InvalidInput(field="days", value=days, problem=f"Give 0 to {LONGEST_LIFE_DAYS} days.")
    return MinimumLife.objects.create(
        party=party, material=material, days=days, told_at=now(), actor=actor, request_id=request_id
    )


def refuse_no_customer(party: Party, field: str = "customer") -> None:
    """Raise NoCustomer unless the brewery sells to the party."""
    if party.role != Party.Role.CUSTOMER:
        raise NoCustomer(party=party, role=party.get_role_display(), field=field)


def _refuse_replaced(party: Party, earlier: PartyContact | None) -> None:
    """Raise where the contact is another party's, or not the current one; two who replace it take turns."""
    if earlier is None:
        return
    there = PartyContact.objects.select_for_update(of=("self",)).select_related("party").get(pk=earlier.pk)
    if there.party_id != party.pk:
        raise InvalidInput(field="replaces", value=earlier.pk, problem=f"This is a contact of {there.party}.")
    if there.is_ended or PartyContact.objects.filter(replaces=there).exists():
        raise ContactReplaced(name=there.name, party=party, field="replaces")
