"""Attachments: what a file is follows from what it holds, equal content lies there once, a name is only a name."""

import hashlib

import pytest
from django.test import Client

from inventory.models import Attachment, Delivery
from inventory.services.attachments import (
    LARGEST_BYTES,
    EmptyFile,
    FileLost,
    FileTooLarge,
    UnknownFile,
    content_of,
    keep_file,
    path_of,
)
from tests.brewhouse import Brewhouse, at, rid
from tests.inventory.papers import JPEG, PDF, PNG
from tests.standing import built_once


@built_once
def delivery(brewhouse: Brewhouse) -> Delivery:
    return Delivery.objects.create(
        supplier=brewhouse.party("HOPYARD"),
        arrived_at=at(0),
        opened_at=at(0),
        changed_at=at(0),
        opened_by=brewhouse.people["receiving"],
    )


@pytest.fixture(autouse=True)
def empty_store(settings, tmp_path):
    settings.ATTACHMENTS_DIR = tmp_path / "attachments"


def keep(house: Brewhouse, delivery: Delivery, content: bytes, name: str = "note.pdf", **more) -> Attachment:
    return keep_file(content=content, name=name, delivery=delivery, **{**house.by("receiving"), **more})


@pytest.mark.parametrize(
    ("content", "content_type", "name"),
    [(PDF, "application/pdf", "note.pdf"), (JPEG, "image/jpeg", "note.jpg"), (PNG, "image/png", "note.png")],
)
def test_a_file_is_what_it_holds_whatever_it_is_called(brewhouse, delivery, content, content_type, name):
    kept = keep(brewhouse, delivery, content, "note.exe")
    assert (kept.content_type, kept.name, kept.size_bytes) == (content_type, name, len(content))
    assert kept.sha256 == hashlib.sha256(content).hexdigest()
    assert (kept.added_by, kept.delivery) == (brewhouse.people["receiving"], delivery)
    assert content_of(kept) == content


@pytest.mark.parametrize(
    ("given", "kept"),
    [
        ("../../etc/passwd", "passwd.pdf"),
        ("C:\\papers\\note 7.PDF", "note 7.pdf"),
        ("no\x00te\r\nSet-Cookie: x.pdf", "x.pdf"),
        ("", "file.pdf"),
        ("..", "file.pdf"),
        ("\u202egnp.pdf", "gnp.pdf"),
        ("Zoë Şahin 醸造.pdf", "Zoë Şahin 醸造.pdf"),
        ("n" * 300 + ".pdf", "n" * 116 + ".pdf"),
    ],
)
def test_of_a_name_only_the_words_are_kept(brewhouse, delivery, given, kept):
    assert keep(brewhouse, delivery, PDF, given).name == kept


@pytest.mark.parametrize(
    ("content", "refusal"),
    [
        (b"", EmptyFile),
        (b"<html><script>alert(1)</script>", UnknownFile),
        (b" %PDF-1.7", UnknownFile),
        (b"MZ\x90\x00", UnknownFile),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", UnknownFile),
        (PDF + b"\x00" * LARGEST_BYTES, FileTooLarge),
    ],
    ids=["empty", "page", "space before", "program", "drawing", "too large"],
)
def test_what_is_no_paper_or_photo_is_refused_and_not_stored(brewhouse, delivery, settings, content, refusal):
    with pytest.raises(refusal) as refused:
        keep(brewhouse, delivery, content)
    assert refused.value.field == "file"
    assert not Attachment.objects.exists()
    assert not settings.ATTACHMENTS_DIR.exists()


def test_the_largest_that_may_be_is_kept(brewhouse, delivery):
    content = PDF.ljust(LARGEST_BYTES, b"\n")
    assert content_of(keep(brewhouse, delivery, content)) == content


def test_the_same_content_lies_there_once_and_belongs_to_the_same_delivery_once(brewhouse, delivery, settings):
    first, again = (keep(brewhouse, delivery, PDF, name) for name in ("one.pdf", "two.pdf"))
    assert first == again
    other = Delivery.objects.create(
        supplier=delivery.supplier,
        arrived_at=at(1),
        opened_at=at(1),
        changed_at=at(1),
        opened_by=delivery.opened_by,
    )
    elsewhere = keep(brewhouse, other, PDF)
    assert elsewhere != first
    assert [path.name for path in settings.ATTACHMENTS_DIR.rglob("*") if path.is_file()] == [first.sha256]
    assert path_of(first.sha256).parent.name == first.sha256[:2]


def test_a_repeated_request_keeps_it_once(brewhouse, delivery):
    request = rid()
    first, again = (keep(brewhouse, delivery, PDF, request_id=request) for _ in range(2))
    assert first == again
    assert Attachment.objects.count() == 1


def test_a_file_is_saved_under_its_name_and_guessed_at_by_no_browser(brewhouse, delivery):
    kept = keep(brewhouse, delivery, PNG, "Größe.png")
    client = Client()
    client.force_login(brewhouse.people["auditor"])
    answer = client.get(f"/attachments/{kept.pk}/")
    assert (answer.status_code, answer.content, answer["Content-Type"]) == (200, PNG, "image/png")
    assert answer["Content-Disposition"] == "attachment; filename*=utf-8''Gr%C3%B6%C3%9Fe.png"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert "sandbox" in answer["Content-Security-Policy"]
    assert client.get("/attachments/999999/").status_code == 404


@pytest.mark.parametrize("spoil", [lambda path: path.unlink(), lambda path: path.write_bytes(JPEG)])
def test_a_file_that_is_gone_or_changed_is_told(brewhouse, delivery, spoil):
    kept = keep(brewhouse, delivery, PDF)
    spoil(path_of(kept.sha256))
    with pytest.raises(FileLost):
        content_of(kept)
    client = Client()
    client.force_login(brewhouse.people["receiving"])
    assert client.get(f"/attachments/{kept.pk}/").status_code == 410


def test_a_file_that_was_spoilt_is_put_right_when_it_is_handed_over_again(brewhouse, delivery):
    kept = keep(brewhouse, delivery, PDF)
    path_of(kept.sha256).unlink()
    keep(brewhouse, delivery, PDF)
    assert content_of(kept) == PDF


def test_a_file_may_belong_to_a_place_in_the_ledger_as_a_brew_has_one(brewhouse):
    place = brewhouse.start_brew("B1", hours=1).location
    kept = keep_file(content=PNG, name="lauter.png", location=place, **brewhouse.by("brewing"))
    assert list(place.attachments.all()) == [kept]
    again = keep_file(content=PNG, name="lauter.png", location=place, **brewhouse.by("brewing"))
    assert again == kept
