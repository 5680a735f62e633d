"""The flush between transactional tests empties append-only tables, and leaves their triggers in place."""

import uuid

import pytest
from django.db import IntegrityError, connection, transaction
from django.test import TransactionTestCase
from django.utils import timezone

from brewery.kernel.database import triggers
from brewery.kernel.models import Request, User
from inventory.models import Event


@pytest.mark.django_db(transaction=True)
def test_the_flush_empties_append_only_tables_and_their_triggers_are_back_afterwards():
    record_an_event()
    with pytest.raises(IntegrityError, match="never_deleted"), transaction.atomic():
        Event.objects.all().delete()
    TransactionTestCase()._fixture_teardown()
    assert not Event.objects.exists()
    assert triggers.missing(connection) == []
    record_an_event()
    with pytest.raises(IntegrityError, match="never_deleted"), transaction.atomic():
        Event.objects.all().delete()


def record_an_event() -> Event:
    now = timezone.now()
    actor = User.objects.create_user(username=f"brewer {uuid.uuid4()}")
    request = Request.objects.create(id=uuid.uuid4(), action="test", actor=actor, content={}, recorded_at=now)
    return Event.objects.create(kind=Event.Kind.MOVE, happened_at=now, recorded_at=now, actor=actor, request=request)
