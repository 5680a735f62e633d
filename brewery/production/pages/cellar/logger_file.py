"""A file of a logger: the form that takes the CSV file of what instruments read of tanks."""

from typing import Any, ClassVar

from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import FormPage
from brewery.production.models import TankReading
from brewery.production.services.logger_files import COLUMNS, read_in_logger_file
from inventory.pages.receiving.lines_file import LinesFileForm


class LoggerFilePage(FormPage):
    """Reads in a logger's file, whole; or tells all that is wrong with it, line by line."""

    right: ClassVar[Right] = Right.CELLAR
    write_right: ClassVar[Right] = Right.CELLAR
    template_name = "production/cellar/logger_file.html"
    form_class = LinesFileForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "columns": COLUMNS})

    def write(self, form: Any) -> str:
        """Read it in, and go to the readings of the tank that was read first."""
        file, request_id = form.cleaned_data["file"], form.cleaned_data["request_id"]
        first = read_in_logger_file(name=file.name, content=file.read(), actor=self.person, request_id=request_id)
        count = TankReading.objects.filter(request=first.request_id).count()
        messages.success(self.request, f"{count} readings are new on record.")
        return reverse("cellar-readings", args=[first.vessel.code])
