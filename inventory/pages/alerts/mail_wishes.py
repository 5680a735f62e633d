"""What one is mailed: the daily digest, and urgent alerts at once."""

from typing import Any, ClassVar

from django import forms
from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage, WritingForm
from inventory.queries.mail_wishes import wishes_of
from inventory.services.alerts import alert_kinds
from inventory.services.mail_wishes import wish_for_mail


class MailWishForm(WritingForm):
    """Which mails the person wishes."""

    has_digest = forms.BooleanField(label="Once a day: all that is yours to act on", required=False)
    has_urgent = forms.BooleanField(label="At once: what is urgent and yours to act on", required=False)
    without = forms.MultipleChoiceField(
        label="But nothing of these kinds",
        required=False,
        choices=lambda: [(kind.name, kind.label) for kind in alert_kinds().values()],
        widget=forms.CheckboxSelectMultiple,
    )


class MailWishPage(FormPage):
    """What one is mailed now; POST wishes otherwise."""

    right: ClassVar[Right] = Right.HEED
    write_right: ClassVar[Right] = Right.HEED
    template_name = "inventory/alerts/mail_wishes.html"
    form_class = MailWishForm

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form, at first with what holds now."""
        if data:
            return MailWishForm(*data)
        holds = wishes_of([self.person])[self.person.pk]
        kept = {name: getattr(holds, name) for name in ("has_digest", "has_urgent", "without")}
        return MailWishForm(initial=kept)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**kwargs, email=self.person.email)

    def write(self, form: Any) -> str:
        """Wish so."""
        wish_for_mail(actor=self.person, **form.cleaned_data)
        messages.success(self.request, "Noted.")
        return reverse("mail-wishes")
