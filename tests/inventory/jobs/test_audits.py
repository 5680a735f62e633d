"""The nightly audit: it comes at half past two, and its result names what it found."""

from datetime import UTC, datetime
from threading import Event
from typing import Any

import pytest
import time_machine
from django.db import connection

from brewery.kernel.jobs.loop import run_what_is_due
from brewery.kernel.models import Job
from brewery.kernel.services import job_registry as registry
from inventory.jobs.audits import LEDGER_AUDIT, MOST_SHOWN
from inventory.models import Balance
from tests.brewhouse import Brewhouse

MONDAY_NOON = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
TUESDAY_HALF_PAST_TWO = datetime(2026, 6, 2, 0, 30, tzinfo=UTC)  # in Berlin, where it is summer time: UTC+2
BALANCES = "balances_are_the_sum_of_their_postings"


def result_of_the_night() -> dict[str, Any]:
    """Return what the audit says that the runner makes on Tuesday at half past two."""
    with time_machine.travel(MONDAY_NOON, tick=False) as clock:
        run_what_is_due(Event())
        assert not Job.objects.exists()
        clock.move_to(TUESDAY_HALF_PAST_TWO)
        run_what_is_due(Event())
    job = Job.objects.get(name=LEDGER_AUDIT)
    assert (job.name, job.state, job.created_at) == (LEDGER_AUDIT, Job.State.DONE, TUESDAY_HALF_PAST_TWO)
    assert isinstance(job.result, dict)
    return job.result


def test_a_ledger_in_order_is_found_in_order(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    result = result_of_the_night()
    assert (result["disagreements"], result["findings"]) == (0, {})
    assert result["audits"] > 10


def test_a_balance_that_was_written_by_hand_is_named(brewhouse: Brewhouse):
    brewhouse.stock_up()
    wrong = Balance.objects.filter(quantity_micro__gt=0).order_by("pk")[0]
    Balance.objects.filter(pk=wrong.pk).update(quantity_micro=wrong.quantity_micro + 1)
    result = result_of_the_night()
    assert (result["disagreements"], list(result["findings"])) == (1, [BALANCES])
    told = result["findings"][BALANCES]
    assert (told["count"], told["first"][0]["table"], told["first"][0]["row"]) == (1, "lot", wrong.lot_id)
    assert f"the balance says {wrong.quantity_micro + 1}" in told["first"][0]["detail"]


def test_of_many_findings_all_are_counted_and_the_first_are_kept(brewhouse: Brewhouse):
    for number in range(MOST_SHOWN + 5):
        brewhouse.deliver("PILS", f"M{number}", "25 kg", hours=number)
    Balance.objects.filter(quantity_micro__gt=0).update(quantity_micro=1)
    told = result_of_the_night()["findings"][BALANCES]
    assert (told["count"], len(told["first"])) == (MOST_SHOWN + 5, MOST_SHOWN)


@pytest.mark.django_db
def test_the_audit_only_reads():
    function = registry.find(LEDGER_AUDIT)
    assert not function.writes
    with connection.execute_wrapper(refuse_writes):
        function.work()


def refuse_writes(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
    """Pass on questions and nothing else."""
    assert sql.lstrip().upper().startswith(("SELECT", "WITH")), sql
    return execute(sql, params, many, context)
