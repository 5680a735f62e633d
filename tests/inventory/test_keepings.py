"""When lots cross their limits: worked out once something changes, and the same as anew, and as one by one."""

import math
from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from brewery.kernel.errors import InvalidInput
from brewery.science.freshness import staling_law
from inventory.models import Alert, Balance, Keeping, KeepingNews, Location
from inventory.queries.hop_alpha import alphas_of
from inventory.queries.hop_facts import Observation, facts_of, hop_lot
from inventory.services.alerts import look
from inventory.services.certificates import Measured, enter_certificate
from inventory.services.hop_keeping import NoHop, change_pack, give_hop_rate
from inventory.services.keeping_rules import ALPHA, BEER_AGE
from inventory.services.keepings import crossings_of, work_off, work_out_all
from inventory.services.refusals import InTheFuture
from inventory.services.warmths import keep_place_at
from tests.brewhouse import START, Brewhouse, at
from tests.inventory.laboratory import Laboratory
from tests.inventory.test_hop_alpha import DAY, keep_at
from tests.standing import built_once

SAAZ = -math.log(0.51) / 180
"""Per day at 20 °C in the open: 51 % kept after six months, USDA-ARS 21077."""


@built_once
def hops(brewhouse: Brewhouse) -> Brewhouse:
    """H1 of 4 % alpha came on day 0 into the store, which is at 20 °C; the cold store is at 5 °C."""
    keep_at("STORE", 20)
    keep_at("COLD", 5)
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    Laboratory(brewhouse).enter("H1", values={"alpha": "4"}, number="A-7", issued_on=START.date())
    work_off()
    return brewhouse


def crossing(house: Brewhouse, lot: str = "H1", place: str = "STORE", rule: str = ALPHA) -> float | None:
    """In days after the start."""
    row = Keeping.objects.get(lot__code=lot, location__code=place, rule=rule)
    return None if row.crosses_at is None else (row.crosses_at - START) / timedelta(days=1)


def as_stored() -> dict[tuple[int, int, str], tuple[datetime | None, bool]]:
    return {(row.lot_id, row.location_id, row.rule): (row.crosses_at, row.is_known) for row in Keeping.objects.all()}


def anew() -> dict[tuple[int, int, str], tuple[datetime | None, bool]]:
    lots = Balance.objects.filter(quantity_micro__gt=0).values_list("lot", flat=True)
    return crossings_of(sorted(set(lots)))


def test_a_lot_crosses_when_the_model_leaves_four_fifths_of_its_certificate(hops: Brewhouse):
    """Garetz, Brewing Techniques 2(1): first-order decay, so ln(1/0.8) over the rate."""
    assert crossing(hops) == pytest.approx(-math.log(0.8) / SAAZ, abs=1e-6)
    row = Keeping.objects.get()
    assert row.crosses_at
    (found,) = alphas_of([(hops.lot("H1"), hops.place("STORE"), row.crosses_at)])
    assert found
    assert found.alpha_pct == pytest.approx(3.2, rel=1e-9)


def test_each_part_crosses_by_where_it_lies(hops: Brewhouse):
    hops.move("H1", "STORE", "COLD", "15 kg", hours=10 * DAY)
    work_off()
    whole = -math.log(0.8) / SAAZ
    assert crossing(hops) == pytest.approx(whole, abs=1e-6)
    assert crossing(hops, place="COLD") == pytest.approx(10 + (whole - 10) * 2, abs=1e-6)


def test_what_was_drawn_and_came_back_keeps_its_history(hops: Brewhouse):
    brew = hops.start_brew("B1", hours=10 * DAY)
    hops.draw(brew, ("H1", "STORE", "6 kg"), hours=10 * DAY)
    hops.bring_back(brew, ("H1", "STORE", "2 kg"), hours=10 * DAY + 3)
    hops.bring_back(brew, ("H1", "COLD", "1 kg"), hours=10 * DAY + 5)
    work_off()
    assert crossing(hops) == pytest.approx(WHOLE, abs=1e-5)
    assert crossing(hops, place="COLD") == pytest.approx(10 + (WHOLE - 10) * 2, abs=1e-5)
    for place, day in (("STORE", crossing(hops)), ("COLD", crossing(hops, place="COLD"))):
        assert day
        (found,) = alphas_of([(hops.lot("H1"), hops.place(place), at(day * 24))])
        assert found
        assert found.alpha_pct == pytest.approx(3.2, rel=1e-6)


def test_what_is_gone_crosses_nothing_any_more(hops: Brewhouse):
    hops.move("H1", "STORE", "COLD", "20 kg", hours=10 * DAY)
    work_off()
    assert [row.location.code for row in Keeping.objects.all()] == ["COLD"]


def open_pack(house: Brewhouse, pack: str, days: float) -> None:
    change_pack(lot=house.lot("H1"), pack=pack, since=at(days * DAY), **house.by("brewing"))


def rate(house: Brewhouse, loss_pct: float | None, **of: object) -> None:
    loss = None if loss_pct is None else round(loss_pct * 1_000_000)
    give_hop_rate(loss_micro_pct=loss, source="own trial of 2025", **of, **house.by("quality"))


def warm(house: Brewhouse, degrees: float, days: float, place: str = "STORE") -> None:
    keep_place_at(
        location=house.place(place),
        milli_c=round(degrees * 1000),
        since=at(days * DAY),
        **house.by("administration"),
    )


WHOLE = -math.log(0.8) / SAAZ

CHANGES: dict[str, tuple[Callable[[Brewhouse], object], float]] = {
    "a warmer place": (lambda house: warm(house, 35, 20), 20 + (WHOLE - 20) / 2),
    "a colder place from the first": (lambda house: keep_at("STORE", 5), WHOLE * 2),
    "a sealed pack": (lambda house: open_pack(house, "barrier under vacuum", 10), 10 + (WHOLE - 10) * 2),
    "a rate of the lot": (lambda house: rate(house, 51, lot=house.lot("H1")), 180 * math.log(0.8) / math.log(0.49)),
    "a rate of the hop": (
        lambda house: rate(house, 51, material=house.material("SAAZ")),
        180 * math.log(0.8) / math.log(0.49),
    ),
    "another certificate of the same day": (
        lambda house: Laboratory(house).enter("H1", values={"alpha": "8"}, number="A-8", issued_on=START.date()),
        WHOLE,
    ),
    "a later assay too close to tell a rate": (
        lambda house: Laboratory(house).enter("H1", values={"alpha": "3.6"}, number="A-9", issued_on=date(2026, 3, 12)),
        # From the start of 12 March in Berlin on, 23 hours after the 11th began by the clock of the tests.
        9 + 15 / 24 + math.log(3.6 / 3.2) / SAAZ,
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_it_depends_on_is_noted_and_moves_it(hops: Brewhouse, change: str):
    make, expected = CHANGES[change]
    make(hops)
    assert KeepingNews.objects.exists()
    work_off()
    assert crossing(hops) == pytest.approx(expected, abs=1e-5)
    assert not KeepingNews.objects.exists()
    assert as_stored() == anew()


def test_two_assays_give_a_lot_a_rate_of_its_own(hops: Brewhouse):
    """k = -ln(A2/A1) over the equivalent days between them."""
    Laboratory(hops).enter("H1", values={"alpha": "3.5"}, number="A-9", issued_on=date(2026, 4, 1))
    work_off()
    between = 29 + 14 / 24  # 2 March 8:00 UTC to the start of 1 April in Berlin, 22:00 UTC
    own = math.log(4 / 3.5) / between
    assert crossing(hops) == pytest.approx(between + math.log(3.5 / 3.2) / own, abs=1e-5)
    (found,) = alphas_of([(hops.lot("H1"), hops.place("STORE"), at(between * 24 + 240))])
    assert found
    assert found.rate
    assert found.rate.per_day.value == pytest.approx(own, rel=1e-9)
    assert "fitted to the assays of 2026-03-02 and 2026-04-01" in found.why
    assert found.low_pct < found.alpha_pct < found.high_pct


def test_an_assay_by_another_method_gives_no_rate(hops: Brewhouse):
    enter_certificate(
        lot=hops.lot("H1"),
        values=[Measured("alpha", "3.5", "EBC 7.7")],
        issued_on=date(2026, 4, 1),
        **hops.by("receiving"),
    )
    (found,) = alphas_of([(hops.lot("H1"), hops.place("STORE"), at(60 * DAY))])
    assert found
    assert found.rate
    assert found.rate.source.startswith("published of Saaz")


def test_where_nobody_knows_how_warm_it_lies_nobody_can_tell(hops: Brewhouse):
    keep_at("STORE", None)
    work_off()
    row = Keeping.objects.get()
    assert (row.crosses_at, row.is_known) == (None, False)


def test_beer_that_lies_warm_is_over_before_its_date(brewhouse: Brewhouse):
    keep_at("STORE", 30)
    keg = brewhouse.material("KEG50")
    brewhouse.deliver("KEG50", "K1", "20 each", best_before=START.date() + timedelta(days=99))
    work_off()
    # To the end of that day in Berlin.
    life = 99 + 14 / 24
    assert keg.kind == "packaged"
    assert crossing(brewhouse, "K1", rule=BEER_AGE) == pytest.approx(life / staling_law(2.5)(30), abs=1e-5)


def test_the_alert_opens_when_it_has_crossed_and_closes_with_a_better_assay(hops: Brewhouse):
    assert look("hops_weak")
    alert = Alert.objects.get(kind="hops_weak")
    assert alert.words.startswith("Lot H1 of Saaz in Dry store has had less than 80 % of the alpha acids of its")
    assert alert.owner == "brewing"
    today = START.date() + timedelta(days=170)
    Laboratory(hops).enter("H1", values={"alpha": "3.9"}, number="A-9", issued_on=today)
    look("hops_weak")
    alert.refresh_from_db()
    assert alert.closed_at


def test_all_is_worked_out_anew_for_a_changed_setting(brewhouse: Brewhouse, settings):
    keep_at("STORE", 30)
    brewhouse.deliver("KEG50", "K1", "20 each", best_before=START.date() + timedelta(days=99))
    work_off()
    assert work_out_all() == 0
    settings.BEER_Q10 = 3.0
    assert work_out_all() == 1
    assert as_stored() == anew()


@pytest.mark.parametrize(
    ("field", "given"),
    [("pack", {"pack": "bag"}), ("since", {"since": START - timedelta(days=1)})],
)
def test_a_pack_that_cannot_be_is_refused(hops: Brewhouse, field: str, given: dict[str, object]):
    facts = {"lot": hops.lot("H1"), "pack": "sealed", "since": at(10 * DAY), **given}
    with pytest.raises(InvalidInput) as refusal:
        change_pack(**facts, **hops.by("brewing"))
    assert refusal.value.field == field


def test_a_pack_is_not_opened_in_the_future_and_no_malt_has_one(hops: Brewhouse):
    with pytest.raises(InTheFuture):
        change_pack(lot=hops.lot("H1"), pack="open", since=at(40_000), **hops.by("brewing"))
    hops.deliver("PILS", "M1", "100 kg", note="9")
    with pytest.raises(NoHop, match="Pilsner malt is malt, no hop"):
        change_pack(lot=hops.lot("M1"), pack="open", since=at(1), **hops.by("brewing"))


@pytest.mark.parametrize(
    ("field", "loss", "source"), [("loss_pct", 100.0, "trial"), ("loss_pct", -1.0, "trial"), ("source", 30.0, " ")]
)
def test_a_rate_that_cannot_be_is_refused(hops: Brewhouse, field: str, loss: float, source: str):
    with pytest.raises(InvalidInput) as refusal:
        give_hop_rate(loss_micro_pct=round(loss * 1_000_000), source=source, lot=hops.lot("H1"), **hops.by("quality"))
    assert refusal.value.field == field


def test_a_rate_that_is_taken_back_leaves_what_is_published(hops: Brewhouse):
    rate(hops, 90, lot=hops.lot("H1"))
    rate(hops, None, lot=hops.lot("H1"))
    work_off()
    assert crossing(hops) == pytest.approx(WHOLE, abs=1e-5)


days = st.floats(0, 150).map(lambda day: round(day, 3))
steps = st.one_of(
    st.tuples(st.just("move"), days, st.sampled_from([("STORE", "COLD"), ("COLD", "STORE")])),
    st.tuples(st.just("warm"), days, st.tuples(st.sampled_from(["STORE", "COLD"]), st.integers(-20, 35))),
    st.tuples(st.just("dark"), days, st.sampled_from(["STORE", "COLD"])),
    st.tuples(st.just("pack"), days, st.sampled_from(["open", "sealed", "barrier under vacuum"])),
    st.tuples(st.just("assay"), days, st.integers(20, 45)),
    st.tuples(st.just("rate"), days, st.one_of(st.none(), st.integers(0, 90))),
)


def play(house: Brewhouse, step: tuple[str, float, object], number: int) -> None:
    """Do the step; a move of what is not there is left out."""
    name, day, told = step
    if name == "move":
        from_, to = told
        if house.held("H1", from_) >= 2_000_000:
            house.move("H1", from_, to, "2 kg", hours=200 * DAY + number)
    elif name == "warm":
        warm(house, told[1], day, told[0])
    elif name == "dark":
        keep_place_at(location=house.place(told), milli_c=None, since=at(day * DAY), **house.by("administration"))
    elif name == "pack":
        open_pack(house, told, day)
    elif name == "assay":
        on = START.date() + timedelta(days=int(day) + 1)
        Laboratory(house).enter("H1", values={"alpha": f"{told / 10}"}, number=f"A-{number + 20}", issued_on=on)
    else:
        rate(house, told, lot=house.lot("H1"))


class _Undone(Exception):
    pass


@settings(max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.lists(st.tuples(steps, st.booleans()), min_size=1, max_size=8))
def test_what_is_kept_is_what_the_whole_record_says(hops: Brewhouse, story: list[tuple[tuple, bool]]):
    try:
        with transaction.atomic():
            for number, (step, looks) in enumerate(story):
                play(hops, step, number)
                if looks:
                    work_off()
            work_off()
            stored = as_stored()
            assert stored == anew()
            assert work_out_all() == 0
            _each_by_itself(hops, stored)
            raise _Undone
    except _Undone:
        pass


def _each_by_itself(house: Brewhouse, stored: dict[tuple[int, int, str], tuple[datetime | None, bool]]) -> None:
    """At the moment that is kept, the alpha of one part by itself is what is left at the limit."""
    lot = house.lot("H1")
    for (_, place, _), (moment, _) in stored.items():
        if moment is None:
            continue
        came = max(lot.postings.filter(to_location=place).values_list("event__happened_at", flat=True))
        (found,) = alphas_of([(lot, Location.objects.get(pk=place), max(moment, came + timedelta(seconds=1)))])
        assert found
        first = _first_alpha(house)
        if moment > max(found_since(house), came):
            assert found.alpha_pct == pytest.approx(0.8 * first, rel=1e-6)
        elif found.is_modelled:
            assert found.alpha_pct <= 0.8 * first * (1 + 1e-9)


def _first_alpha(house: Brewhouse) -> float:
    return _observations(house)[0].alpha_pct


def found_since(house: Brewhouse) -> datetime:
    """From when on the last assay holds: what crossed before it, or at it, did so by the assay itself."""
    return _observations(house)[-1].since


def _observations(house: Brewhouse) -> list[Observation]:
    lot = house.lot("H1")
    return facts_of([hop_lot(lot)])[lot.pk].observations
