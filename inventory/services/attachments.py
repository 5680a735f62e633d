"""Attachments: photos and papers, told apart by what they hold and kept once under the digest of their content."""

import hashlib
import os
import re
import tempfile
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from uuid import UUID

from django.conf import settings

from brewery.kernel.clock import now
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Attachment, Certificate, Delivery, Location

LARGEST_BYTES = 10 * 2**20
LONGEST_NAME = 120
_NOT_IN_NAMES = re.compile(r'[\\/:*?"<>|]')


class UnknownFile(DomainError):
    code = "unknown_file"
    status = 400
    title = "The file is of a kind that is not kept here."
    template = "{name} is no PDF, JPEG or PNG by what it holds."
    advice = "Save it as one of these."


class FileTooLarge(DomainError):
    code = "file_too_large"
    status = 413
    title = "The file is too large."
    template = "{name} is {size:,} bytes long; up to {most:,} are kept."
    advice = "Make the picture smaller, or split the paper."


class EmptyFile(DomainError):
    code = "empty_file"
    status = 400
    title = "The file is empty."
    template = "{name} holds nothing."
    advice = "Choose the file again."


class FileLost(DomainError):
    code = "file_lost"
    status = 410
    title = "The file is no longer as it was handed over."
    template = "{name} is missing from the store of attachments, or is no longer what it was."
    advice = "Bring it back from a copy of that store."


@dataclass(frozen=True)
class FileKind:
    """A kind of file that is kept: its media type, and the ending of its name."""

    content_type: str
    ending: str


SIGNATURES: Mapping[bytes, FileKind] = MappingProxyType(
    {
        b"%PDF-": FileKind("application/pdf", ".pdf"),  # ISO 32000-1, 7.5.2
        b"\xff\xd8\xff": FileKind("image/jpeg", ".jpg"),  # ITU-T T.81, annex B: SOI, and the first marker
        b"\x89PNG\r\n\x1a\n": FileKind("image/png", ".png"),  # ISO/IEC 15948, 5.2
    }
)


TABLE = FileKind("text/csv", ".csv")  # RFC 4180
"""A file of figures: nothing in its first bytes tells it, so it is kept only once it has been read."""


def keep_file(
    *,
    content: bytes,
    name: str,
    actor: User,
    request_id: UUID,
    delivery: Delivery | None = None,
    certificate: Certificate | None = None,
    location: Location | None = None,
) -> Attachment:
    """The file is in the store and belongs to the delivery, the certificate or the place (give one of them).

    The same content is stored once, and belongs to the same thing once. What it is follows from its content; of the
    given name only the words are kept. Raises EmptyFile, FileTooLarge, UnknownFile.
    """
    kind = kind_of(content, name)
    sha256 = hashlib.sha256(content).hexdigest()
    # The file comes first: a file that nothing names harms nobody, a row without its file would.
    _store(sha256, content)
    return _belong(
        sha256=sha256,
        name=safe_name(name, kind),
        content_type=kind.content_type,
        size_bytes=len(content),
        delivery=delivery,
        certificate=certificate,
        location=location,
        actor=actor,
        request_id=request_id,
    )


def keep_table(*, content: bytes, name: str, certificates: Iterable[Certificate], actor: User) -> None:
    """The CSV file that the certificates were read from is in the store, and belongs to each of them.

    Joins the caller's transaction; the caller has read the file to its end.
    """
    sha256 = hashlib.sha256(content).hexdigest()
    _store(sha256, content)
    moment = now()
    Attachment.objects.bulk_create(
        Attachment(
            sha256=sha256,
            name=safe_name(name, TABLE),
            content_type=TABLE.content_type,
            size_bytes=len(content),
            certificate=certificate,
            added_by=actor,
            added_at=moment,
        )
        for certificate in certificates
    )


@once("keep_file", returns=Attachment)
def _belong(
    *,
    sha256: str,
    name: str,
    content_type: str,
    size_bytes: int,
    delivery: Delivery | None,
    certificate: Certificate | None,
    location: Location | None,
    actor: User,
    request_id: UUID,
) -> Attachment:
    belongs = {"delivery": delivery, "certificate": certificate, "location": location}
    there = Attachment.objects.filter(sha256=sha256, **belongs).first()
    return there or Attachment.objects.create(
        sha256=sha256,
        name=name,
        content_type=content_type,
        size_bytes=size_bytes,
        added_by=actor,
        added_at=now(),
        **belongs,
    )


def kind_of(content: bytes, name: str) -> FileKind:
    """Return what the content is by its first bytes. Raises EmptyFile, FileTooLarge, UnknownFile."""
    shown = name[:LONGEST_NAME] or "The file"
    if not content:
        raise EmptyFile(name=shown, field="file")
    if len(content) > LARGEST_BYTES:
        raise FileTooLarge(name=shown, size=len(content), most=LARGEST_BYTES, field="file")
    for signature, kind in SIGNATURES.items():
        if content.startswith(signature):
            return kind
    raise UnknownFile(name=shown, field="file")


def safe_name(name: str, kind: FileKind) -> str:
    """Return a name that is safe on every system: no folders, no control signs, the ending of what it really is."""
    last = _NOT_IN_NAMES.split(name.replace("\\", "/"))[-1]
    plain = "".join(sign for sign in last if unicodedata.category(sign)[0] != "C")
    stem = Path(plain).stem.strip(". ") if plain.strip(". ") else ""
    return f"{(stem or 'file')[: LONGEST_NAME - len(kind.ending)]}{kind.ending}"


def content_of(attachment: Attachment) -> bytes:
    """Return what the file holds. Raises FileLost where that is gone, or not what was handed over."""
    try:
        content = path_of(attachment.sha256).read_bytes()
    except OSError as lost:
        raise FileLost(name=attachment.name) from lost
    if hashlib.sha256(content).hexdigest() != attachment.sha256:
        raise FileLost(name=attachment.name)
    return content


def path_of(sha256: str) -> Path:
    """Return where the content of that digest lies."""
    return Path(settings.ATTACHMENTS_DIR) / sha256[:2] / sha256


def _store(sha256: str, content: bytes) -> None:
    """The content lies under its digest, whole: it is written elsewhere first and then put in place at once."""
    path = path_of(sha256)
    if path.is_file() and path.read_bytes() == content:
        return
    path.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=path.parent, delete=False) as part:
        part.write(content)
        part.flush()
        os.fsync(part.fileno())
    Path(part.name).replace(path)
