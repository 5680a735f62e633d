"""The proof: every lot at once says what each lot's own balance says, and each planted gap is named."""

from datetime import timedelta
from io import StringIO
from random import Random

import pytest
from django.core.management import CommandError, call_command
from django.db import IntegrityError, transaction
from django.db.models import Model

from brewery.kernel.services.job_registry import find, schedule
from brewery.kernel.services.jobs import claim, enqueue, run
from inventory.models import Certificate, Link, Lot, Posting
from tests.brewhouse import START, Brewhouse
from tests.histories import History
from tests.inventory.laboratory import Laboratory
from tests.kernel.test_seals import behind_its_back
from traceability.models import Finding, FindingEnd, RecordProof
from traceability.queries.mass_balance import mass_balance
from traceability.queries.proof import BALANCE, RESULTS, prove
from traceability.queries.settling import WholeRecord
from traceability.services.proofs import prove_and_keep

TODAY = START.date() + timedelta(days=30)


def doubts(question: str) -> set[str]:
    keys = [doubt.lot for doubt in prove(TODAY).doubts if doubt.question == question]
    return set(Lot.objects.filter(pk__in=keys).values_list("code", flat=True))


@pytest.mark.parametrize("seed", range(6))
def test_all_lots_at_once_say_what_each_lots_own_balance_says(brewhouse: Brewhouse, seed: int):
    history = History(brewhouse, Random(seed))
    history.play(40)
    record = WholeRecord()
    settled = dict(record.settled())
    assert settled.keys() == set(Lot.objects.filter(reversed_by=None).values_list("pk", flat=True))
    assert record.links == Link.objects.filter(reversed_by=None, quantity_micro__gt=0).count()
    for lot in Lot.objects.filter(reversed_by=None):
        assert settled[lot.pk].closes
        assert mass_balance(lot).closes
        assert settled[lot.pk].total_micro == history.model.total(lot.code)


@pytest.mark.parametrize("seed", range(6))
def test_what_does_not_close_by_itself_does_not_close_here(brewhouse: Brewhouse, seed: int):
    """A lot said to be larger than it was: it is open by that, and all that it is made of is settled less."""
    random = Random(seed)
    history = History(brewhouse, random)
    history.play(40)
    victim = random.choice(list(Lot.objects.filter(reversed_by=None)))
    with behind_its_back():
        Lot.objects.filter(pk=victim.pk).update(made_micro=victim.made_micro + 1_000_000)
    settled = dict(WholeRecord().settled())
    assert settled[victim.pk].open_micro == 1_000_000
    for lot in Lot.objects.filter(reversed_by=None):
        balance, one = mass_balance(lot), settled[lot.pk]
        assert one.closes == balance.closes, lot.code
        assert one.open_micro == balance.ledger_difference_micro
        assert one.part == pytest.approx(balance.accounted_micro / balance.received_micro, rel=1e-9)


@pytest.mark.usefixtures("whole_chain")
def test_a_lot_that_came_from_nowhere_is_named(brewhouse: Brewhouse):
    with behind_its_back():
        received = Posting.objects.filter(lot__code="M1", from_location__kind="supplier")
        received.update(from_location=brewhouse.place("LAB"))
    assert doubts("a_lot_has_an_origin") == {"M1"}


def test_bought_malt_hops_and_yeast_without_a_certificate_are_named(brewhouse: Brewhouse):
    for material, lot in (("PILS", "M1"), ("SAAZ", "H1"), ("YEAST", "Y1"), ("CROWN", "C1")):
        brewhouse.deliver(material, lot, "10 each" if material == "CROWN" else "10 kg", note=lot)
    assert doubts("a_bought_lot_has_a_certificate") == {"M1", "H1", "Y1"}
    Laboratory(brewhouse).enter("M1", values={"moisture": "4.5"})
    assert doubts("a_bought_lot_has_a_certificate") == {"H1", "Y1"}
    assert Certificate.objects.count() == 1


@pytest.mark.usefixtures("whole_chain")
def test_contents_without_a_link_are_named(brewhouse: Brewhouse):
    assert doubts("contents_are_linked_to_what_they_are_of") == set()
    with behind_its_back():
        Link.objects.filter(child__code="KEG1")._raw_delete("default")
    assert doubts("contents_are_linked_to_what_they_are_of") == {"KEG1"}
    assert "KEG1" not in doubts(BALANCE)


@pytest.mark.usefixtures("whole_chain")
def test_what_was_shipped_to_nobody_is_named(brewhouse: Brewhouse):
    with behind_its_back():
        Posting.objects.filter(event__kind="ship").update(to_location=brewhouse.place("LAB"))
    assert doubts("what_was_shipped_has_a_customer") == {"KEG1"}


def test_a_released_lot_without_a_result_that_is_asked_for_is_named(brewhouse: Brewhouse):
    laboratory = Laboratory(brewhouse)
    brewhouse.deliver("PILS", "M1", "10 kg")
    laboratory.ask("PILS", "moisture", most="5")
    assert doubts(RESULTS) == {"M1"}
    laboratory.enter("M1", values={"moisture": "4.5"})
    assert doubts(RESULTS) == set()


@pytest.mark.usefixtures("whole_chain")
def test_the_command_names_lots_and_fails_where_a_balance_does_not_close(brewhouse: Brewhouse):
    out = StringIO()
    call_command("prove_record", stdout=out)
    assert "ok  the mass balance closes" in out.getvalue()
    with behind_its_back():
        Lot.objects.filter(code="KEG1").update(made_micro=1)
    with pytest.raises(CommandError, match="1 lots do not balance"):
        call_command("prove_record", stdout=out)


@pytest.mark.usefixtures("whole_chain")
def test_the_nightly_job_tells_how_many_lots_it_put_through(brewhouse: Brewhouse):
    assert "prove_record" in schedule()
    job = claim(enqueue("prove_record").pk)
    assert job
    run(job, find("prove_record").work, writes=find("prove_record").writes)
    job.refresh_from_db()
    assert job.result["lots"] == Lot.objects.count()
    assert job.result["doubts"][BALANCE] == 0
    assert RecordProof.objects.get(pk=job.result["proof"]).lots == Lot.objects.count()


def test_a_finding_stands_from_the_first_proof_that_has_it_to_the_first_that_has_not(brewhouse: Brewhouse):
    laboratory = Laboratory(brewhouse)
    brewhouse.deliver("PILS", "M1", "10 kg")
    first, _ = prove_and_keep()
    second, _ = prove_and_keep()
    finding = Finding.objects.standing().get()
    assert (finding.lot.code, finding.found_by, first.findings, second.findings) == ("M1", first, 1, 1)
    laboratory.enter("M1", values={"moisture": "4.5"})
    third, _ = prove_and_keep()
    assert not Finding.objects.standing().exists()
    finding.refresh_from_db()
    assert (finding.end.proof, third.findings) == (third, 0)


@pytest.mark.parametrize("table", [RecordProof, Finding, FindingEnd])
def test_what_proofs_found_is_never_changed_nor_deleted(brewhouse: Brewhouse, table: type[Model]):
    brewhouse.deliver("PILS", "M1", "10 kg")
    prove_and_keep()
    brewhouse.destroy("M1", "STORE", "10 kg", hours=1)
    Laboratory(brewhouse).enter("M1", values={"moisture": "4.5"})
    prove_and_keep()
    changed = {RecordProof: {"lots": 7}, Finding: {"words": "all is well"}, FindingEnd: {"proof": 1}}[table]
    for act in (lambda: table.objects.update(**changed), lambda: table.objects.all()._raw_delete("default")):
        with pytest.raises(IntegrityError, match="_are_never_"), transaction.atomic():
            act()


@pytest.mark.usefixtures("whole_chain")
@pytest.mark.parametrize(
    ("more", "words"),
    [
        (1_000_000, "1 each of its 11 each lies nowhere and went nowhere"),
        (-1_000_000, "1 each more lies somewhere or went on than there ever was of it (9 each)"),
    ],
)
def test_a_balance_that_is_open_is_told_in_words(brewhouse: Brewhouse, more: int, words: str):
    keg = brewhouse.lot("KEG1")
    with behind_its_back():
        Lot.objects.filter(pk=keg.pk).update(made_micro=keg.made_micro + more)
    told = {doubt.lot: doubt.words for doubt in prove(TODAY).doubts if doubt.question == BALANCE}
    assert told.pop(keg.pk) == words
    assert told
    assert all("is accounted for: the rest went into a lot that does not balance" in other for other in told.values())
