"""The papers of a delivery: photos of what came, the note, certificates as they were handed over."""

import uuid
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

from brewery.kernel.pages.writing import WritingForm


class FilesInput(forms.ClearableFileInput):
    """The browser's picker for several files; a tablet offers its camera."""

    allow_multiple_selected = True


class FilesField(forms.FileField):
    """One file or several."""

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile]:
        """Return the files. Raises ValidationError where there is none. An empty one is refused by the service."""
        files = data if isinstance(data, list) else [data] if data else []
        if not files:
            raise forms.ValidationError("Choose a file first.")
        return files


class PapersForm(WritingForm):
    """Files that are added to a delivery."""

    papers = FilesField(
        label="Files to add: PDF, JPEG or PNG", widget=FilesInput(attrs={"accept": ".pdf,.jpg,.jpeg,.png,image/*"})
    )

    def each(self) -> list[tuple[bytes, str, uuid.UUID]]:
        """Return each file's content and name, with a request id of its own that follows from the form's."""
        asked = self.cleaned_data["request_id"]
        files = self.cleaned_data["papers"]
        return [(file.read(), file.name, uuid.uuid5(asked, str(index))) for index, file in enumerate(files)]
