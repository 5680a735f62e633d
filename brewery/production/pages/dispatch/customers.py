"""Customers: whom to ring, how long beer must keep for them, what they hold, ordered and sent back."""

from typing import Any, ClassVar

from django import forms
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import WritingForm, WritingPage
from brewery.production.pages.dispatch.steps import Step
from brewery.production.queries.customer_orders import customer_orders, progress_of_order
from brewery.production.queries.returned import lines_of, returns_in_full
from inventory.models import Material, Party, PartyContact
from inventory.queries.customers import asked_lives, current_contacts, held_by
from inventory.services.customers import LONGEST_LIFE_DAYS, ask_minimum_life, end_contact, tell_contact


class CustomersPage(WritingPage):
    """All customers, and whom to ring."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.KEEP_CUSTOMERS
    template_name = "production/dispatch/customers.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        contacts: dict[int, list[PartyContact]] = {}
        for contact in current_contacts():
            contacts.setdefault(contact.party_id, []).append(contact)
        customers = Party.objects.filter(role=Party.Role.CUSTOMER).order_by("name")
        rows = [{"customer": one, "contacts": contacts.get(one.pk, [])} for one in customers]
        return super().get_context_data(rows=rows, **kwargs)


class ContactForm(WritingForm):
    """A person to ring; in the place of another where one is chosen."""

    name = forms.CharField(label="Name", max_length=120)
    role = forms.CharField(label="What they do", required=False, max_length=80)
    phone = forms.CharField(
        label="Telephone", required=False, max_length=40, widget=forms.TextInput(attrs={"inputmode": "tel"})
    )
    email = forms.EmailField(label="E-mail", required=False, max_length=120)
    is_reachable_at_night = forms.BooleanField(label="Reachable at night", required=False)
    note = forms.CharField(label="Note", required=False, max_length=200)
    replaces = forms.ModelChoiceField(label="In the place of", required=False, queryset=PartyContact.objects.none())

    def __init__(self, party: Party, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["replaces"].queryset = current_contacts(party)  # type: ignore[attr-defined]


class EndContactForm(WritingForm):
    """Who is no contact any more, and why."""

    contact = forms.ModelChoiceField(label="Contact", queryset=PartyContact.objects.none())
    reason = forms.CharField(label="Why", max_length=200)

    def __init__(self, party: Party, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["contact"].queryset = current_contacts(party)  # type: ignore[attr-defined]


class MinimumLifeForm(WritingForm):
    """How long beer must still keep on delivery."""

    material = forms.ModelChoiceField(
        label="Product",
        required=False,
        queryset=Material.objects.filter(kind=Material.Kind.PACKAGED),
        empty_label="all that the customer buys",
    )
    days = forms.IntegerField(
        label="Days",
        required=False,
        min_value=0,
        max_value=LONGEST_LIFE_DAYS,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        help_text="Left empty, what was asked for is taken back.",
    )


class CustomerShown(WritingPage, is_a_kind_of_page=True):
    """One customer with its forms."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.KEEP_CUSTOMERS
    template_name = "production/dispatch/customer.html"

    @property
    def customer(self) -> Party:
        """The customer that the address names. Raises Http404."""
        found = Party.objects.filter(role=Party.Role.CUSTOMER, pk=self.kwargs["customer"]).first()
        if found is None:
            raise Http404("There is no such customer.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        customer, today = self.customer, timezone.localdate()
        orders = [progress_of_order(one) for one in customer_orders().filter(customer=customer).order_by("-wanted_on")]
        sent = returns_in_full().filter(event__postings__from_location__party=customer).distinct()
        context = {
            "contacts": current_contacts(customer),
            "lives": asked_lives(customer),
            "held": held_by(customer),
            "rows": [{"progress": one, "is_late": one.is_late(today)} for one in orders],
            "returned": [{"back": back, "lines": lines_of(back)} for back in sent],
            "may_write": self.may_write,
            "contact_form": ContactForm(customer, auto_id="contact-%s"),
            "end_form": EndContactForm(customer, auto_id="end-%s"),
            "life_form": MinimumLifeForm(auto_id="life-%s"),
            **kwargs,
            "customer": customer,
        }
        return super().get_context_data(**context)


class CustomerPage(CustomerShown):
    """One customer, to be looked at."""

    http_method_names = ("get", "head")


class CustomerContacts(CustomerShown, Step):
    """Tells a contact."""

    name = "contact_form"

    def sent_form(self) -> WritingForm:
        """Return what was typed."""
        return ContactForm(self.customer, self.request.POST, auto_id="contact-%s")

    def write(self, form: Any) -> str:
        """Tell it."""
        tell_contact(party=self.customer, actor=self.person, **form.cleaned_data)
        return reverse("customer", args=[self.kwargs["customer"]])


class CustomerContactEnd(CustomerShown, Step):
    """Ends a contact."""

    name = "end_form"

    def sent_form(self) -> WritingForm:
        """Return what was typed."""
        return EndContactForm(self.customer, self.request.POST, auto_id="end-%s")

    def write(self, form: Any) -> str:
        """End it."""
        end_contact(actor=self.person, **form.cleaned_data)
        return reverse("customer", args=[self.kwargs["customer"]])


class CustomerLives(CustomerShown, Step):
    """Says how long beer must keep."""

    name = "life_form"

    def sent_form(self) -> WritingForm:
        """Return what was typed."""
        return MinimumLifeForm(self.request.POST, auto_id="life-%s")

    def write(self, form: Any) -> str:
        """Say it."""
        ask_minimum_life(party=self.customer, actor=self.person, **form.cleaned_data)
        return reverse("customer", args=[self.kwargs["customer"]])
