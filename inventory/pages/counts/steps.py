"""What can be done with a count from its page: each address does one thing."""

from typing import Any

from django.http import HttpRequest, HttpResponse

from inventory.pages.counts.sheet import CountStep
from inventory.services.count_sheets import (
    book_count,
    discard_count,
    enter_count,
    hand_in_count,
    note_find,
    recount,
)


class CountEntry(CountStep):
    """Says how much of a lot was found."""

    name = "entry"

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Enter it; or ask for what is still to be typed, with the lot that was scanned."""
        form: Any = self.new_form(request.POST)
        if form.is_valid() and not form.cleaned_data["quantity"]:
            lot, place = form.cleaned_data["lot"], form.cleaned_data.get("place")
            shown: Any = self.new_form()
            shown.put_in_hand(lot, place)
            shown.ask_first_for("quantity")
            return self.render_to_response(self.get_context_data(form=shown))
        return super().post(request, *args, **kwargs)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        form = kwargs["form"]
        if form.is_bound:
            form.ask_first_for("quantity" if "lot" in form.cleaned_data else "lot")
        return super().get_context_data(**kwargs)

    def write(self, form: Any) -> str:
        """Enter it."""
        asked = form.cleaned_data
        enter_count(
            sheet=self.sheet,
            lot=asked["lot"],
            location=asked.get("place"),
            counted_micro=asked["quantity_micro"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        return self.back()


class CountFinding(CountStep):
    """Notes something that no lot on record explains."""

    name = "find"

    def write(self, form: Any) -> str:
        """Note it."""
        asked = form.cleaned_data
        note_find(
            sheet=self.sheet,
            location=asked.get("place"),
            marking=asked["marking"],
            words=asked["words"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        return self.back()


class CountHandingIn(CountStep):
    """Hands the count in."""

    name = "handing_in"

    def write(self, form: Any) -> str:
        """Hand it in."""
        hand_in_count(sheet=self.sheet, actor=self.person, **form.cleaned_data)
        return self.back()


class CountBooking(CountStep):
    """Books the count."""

    name = "booking"

    def write(self, form: Any) -> str:
        """Book it."""
        book_count(sheet=self.sheet, actor=self.person, **form.cleaned_data)
        return self.back()


class Recounting(CountStep):
    """Has counted again what differs."""

    name = "recounting"

    def write(self, form: Any) -> str:
        """Send it back."""
        recount(sheet=self.sheet, actor=self.person, **form.cleaned_data)
        return self.back()


class CountDiscarding(CountStep):
    """Ends the count without booking anything."""

    name = "discarding"

    def write(self, form: Any) -> str:
        """Discard it."""
        discard_count(sheet=self.sheet, actor=self.person, **form.cleaned_data)
        return self.back()
