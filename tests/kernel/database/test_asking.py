"""Questions of our own text: the same rows as any other way, and a plan that PostgreSQL keeps."""

import pytest
from django.db import Error, connection, transaction
from django.test.utils import CaptureQueriesContext

from brewery.kernel.database.asking import rows_of
from brewery.kernel.models import User

pytestmark = pytest.mark.django_db

QUESTION = "SELECT id, username FROM kernel_user WHERE id = %s AND username = %s"


@pytest.fixture
def person() -> User:
    return User.objects.create(username="Ilse")


def test_the_rows_are_those_that_the_parameters_ask_for(person: User):
    assert rows_of(QUESTION, [person.pk, "Ilse"]) == [(person.pk, "Ilse")]
    assert rows_of(QUESTION, [person.pk, "Ilse' OR '1'='1"]) == []


def test_a_question_sees_what_its_own_transaction_wrote(person: User):
    with transaction.atomic():
        User.objects.filter(pk=person.pk).update(username="Jonne")
        assert rows_of(QUESTION, [person.pk, "Jonne"]) == [(person.pk, "Jonne")]


def test_a_question_that_is_wrong_raises_what_django_raises():
    with pytest.raises(Error), transaction.atomic():
        rows_of("SELECT nothing FROM nowhere", [])


def test_a_transaction_that_has_failed_answers_nothing_more():
    with transaction.atomic():
        transaction.set_rollback(True)
        with pytest.raises(transaction.TransactionManagementError):
            rows_of("SELECT 1", [])


def test_a_question_is_seen_by_whoever_captures_questions(person: User):
    with CaptureQueriesContext(connection) as captured:
        rows_of(QUESTION, [person.pk, "Ilse"])
    assert len(captured) == 1


@pytest.mark.postgres
def test_postgresql_keeps_the_plan_of_a_question_that_is_asked_again_and_again(person: User):
    for _ in range(8):
        rows_of(QUESTION, [person.pk, "Ilse"])
    assert rows_of("SELECT count(*) FROM pg_prepared_statements WHERE statement LIKE %s", ["%username = $2%"]) == [(1,)]
