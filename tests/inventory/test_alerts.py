"""Alerts: one for each cause, from when it is found until it is gone, whoever looks and however often."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from django.db import IntegrityError, transaction
from hypothesis import given
from hypothesis import strategies as st

from brewery.kernel.access import Role
from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from inventory.models import Alert, AlertStep
from inventory.services import alerts
from inventory.services.alerts import (
    Cause,
    Looked,
    alerts_of,
    heed_alert,
    look,
    look_at,
)
from tests.brewhouse import Brewhouse

Found = Callable[..., None]


@pytest.fixture
def found(monkeypatch: pytest.MonkeyPatch) -> Found:
    """Say what is there to be found of the kind "leak"."""
    monkeypatch.setattr(alerts, "_kinds", {})
    causes: list[Cause] = []

    @alerts_of("leak", "Leak")
    def find(moment: datetime) -> list[Cause]:
        return causes

    def say(*there: Cause) -> None:
        causes[:] = there

    return say


def leak(where: str, words: str = "It drips.", severity: Alert.Severity = Alert.Severity.WARNING) -> Cause:
    return Cause(where, words, Role.BREWING, severity)


def put_off(house: Brewhouse, alert: Alert) -> None:
    heed_alert(kind="snoozed", alert=alert, until=now() + timedelta(hours=4), **house.by("brewing"))


@pytest.mark.django_db
def test_a_cause_has_one_alert_for_as_long_as_it_lasts_and_a_new_one_when_it_comes_back(found: Found):
    found(leak("FV1"), leak("FV2"))
    assert look("leak") == Looked(opened=2, closed=0, standing=2)
    assert look("leak") == Looked(opened=0, closed=0, standing=2)
    found(leak("FV2"))
    assert look("leak") == Looked(opened=0, closed=1, standing=1)
    found(leak("FV1"), leak("FV2"))
    assert look("leak") == Looked(opened=1, closed=0, standing=2)
    assert [one.closed_at is None for one in Alert.objects.filter(cause="FV1").order_by("pk")] == [False, True]


@pytest.mark.django_db
def test_an_alert_follows_what_its_cause_has_become(found: Found):
    found(leak("FV1"))
    look("leak")
    found(leak("FV1", "It runs.", Alert.Severity.URGENT))
    look("leak")
    alert = Alert.objects.get()
    assert (alert.words, alert.severity) == ("It runs.", Alert.Severity.URGENT)


@pytest.mark.django_db
def test_of_two_who_look_at_once_the_one_that_read_earlier_writes_nothing(found: Found, monkeypatch):
    found(leak("FV1"))
    kind = alerts.alert_kinds()["leak"]
    looked: list[Looked | None] = []

    def find_while_another_looks(moment: datetime) -> list[Cause]:
        if not looked:
            looked.append(None)
            looked[0] = look("leak")
        return []

    monkeypatch.setitem(alerts._kinds, "leak", alerts.AlertKind("leak", "Leak", find_while_another_looks))
    assert look("leak") is None
    assert looked == [Looked(0, 0, 0)]
    monkeypatch.setitem(alerts._kinds, "leak", kind)
    assert look("leak") == Looked(1, 0, 1)


@pytest.mark.django_db
def test_a_finder_that_fails_keeps_no_other_from_its_turn(found: Found):
    found(leak("FV1"))

    @alerts_of("a fault", "A fault")
    def fail(moment: datetime) -> list[Cause]:
        raise RuntimeError("no such thing")

    with pytest.raises(ExceptionGroup) as failed:
        look_at()
    assert failed.group_contains(RuntimeError, match="no such thing")
    assert Alert.objects.get().kind == "leak"
    with pytest.raises(ValueError, match="Two kinds"):
        alerts_of("leak", "Leak again")(fail)


def test_people_say_that_they_saw_it_put_it_off_and_take_it_up_again(brewhouse: Brewhouse, found: Found):
    found(leak("FV1"))
    look("leak")
    alert, moment = Alert.objects.get(), now()
    by = brewhouse.by("brewing")
    for _ in range(2):  # asked twice, done once
        heed_alert(alert=alert, kind="acknowledged", note="looking", **by)
    heed_alert(kind="snoozed", alert=alert, until=moment + timedelta(hours=4), **brewhouse.by("brewing"))
    assert not Alert.objects.due(moment).exists()
    assert Alert.objects.due(moment + timedelta(hours=4)).get().is_acknowledged
    look("leak")
    assert not Alert.objects.due(moment).exists()
    heed_alert(alert=alert, kind="woken", **brewhouse.by("brewing"))
    assert Alert.objects.due(moment).exists()
    assert list(AlertStep.objects.values_list("kind", flat=True)) == ["acknowledged", "snoozed", "woken"]
    with pytest.raises(IntegrityError, match="steps_of_alerts_are_never_changed"), transaction.atomic():
        AlertStep.objects.update(note="other")


def test_what_is_over_is_not_put_off_and_nothing_until_a_time_that_has_passed(brewhouse: Brewhouse, found: Found):
    found(leak("FV1"))
    look("leak")
    alert = Alert.objects.get()
    with pytest.raises(InvalidInput, match="still to come"):
        heed_alert(kind="snoozed", alert=alert, until=now() - timedelta(minutes=1), **brewhouse.by("brewing"))
    with pytest.raises(InvalidInput, match="Only what is put off"):
        heed_alert(alert=alert, kind="woken", until=now() + timedelta(hours=1), **brewhouse.by("brewing"))
    found()
    look("leak")
    with pytest.raises(InvalidInput, match="cause is gone"):
        heed_alert(
            kind="snoozed", alert=Alert.objects.get(), until=now() + timedelta(hours=1), **brewhouse.by("brewing")
        )


@pytest.mark.django_db
def test_what_gets_more_pressing_is_told_although_it_was_put_off(brewhouse: Brewhouse, found: Found):
    found(leak("FV1"))
    look("leak")
    put_off(brewhouse, Alert.objects.get())
    found(leak("FV1", severity=Alert.Severity.URGENT))
    look("leak")
    alert = Alert.objects.due(now()).get()
    assert not alert.is_acknowledged


@pytest.mark.django_db
@given(st.lists(st.sets(st.sampled_from(["FV1", "FV2", "BT1"])), max_size=6))
def test_whatever_comes_and_goes_the_open_alerts_are_the_causes_there_are(nights):
    Alert.objects.all().delete()
    there: set[str] = set()
    kinds = dict(alerts._kinds)
    alerts._kinds.clear()
    try:
        alerts_of("leak", "Leak")(lambda moment: [leak(where) for where in there])
        opened = 0
        for night in nights:
            opened += len(night - there)
            there = set(night)
            look("leak")
            assert set(Alert.objects.open().values_list("cause", flat=True)) == there
        assert Alert.objects.count() == opened
    finally:
        alerts._kinds.clear()
        alerts._kinds.update(kinds)
