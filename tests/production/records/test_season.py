"""The invented brewery's whole season loads, twice, and the ledger agrees with itself."""

from pathlib import Path

from django.conf import settings
from django.test import TestCase

from brewery.kernel.models import Request
from brewery.production.models import Brew, PackagingRun
from brewery.production.services.records.kinds import KINDS
from brewery.production.services.records.loading import Tally, load_folder
from brewery.production.services.records.reading import read_folder
from inventory.models import Event
from inventory.queries.audits import run_audits

SEASON = Path(settings.BASE_DIR) / "fixtures_demo"


class TestSeason(TestCase):
    """Loaded once for all tests of the class."""

    tallies: list[Tally]

    @classmethod
    def setUpTestData(cls) -> None:
        cls.tallies = load_folder(SEASON)

    def records_of(self, name: str) -> int:
        return next(tally.records for tally in self.tallies if tally.file == f"{name}.csv")

    def test_every_kind_of_file_is_in_it(self) -> None:
        assert [tally.file for tally in self.tallies] == [kind.file for kind in KINDS.values()]

    def test_every_record_was_asked_for_once(self) -> None:
        assert Request.objects.count() == len(read_folder(SEASON)) == sum(tally.new for tally in self.tallies)

    def test_every_brew_and_run_is_under_way_or_done(self) -> None:
        assert Brew.objects.count() == self.records_of("brews")
        assert PackagingRun.objects.count() == self.records_of("packaging_runs")
        assert Event.objects.filter(kind=Event.Kind.KNOCK_OUT).count() == self.records_of("knock_outs")
        assert Event.objects.filter(kind=Event.Kind.PACKAGE).count() == self.records_of("packagings")

    def test_the_ledger_agrees_with_its_postings(self) -> None:
        assert [finding for _, findings in run_audits() for finding in findings] == []

    def test_a_second_load_finds_all_of_it_there(self) -> None:
        tallies = load_folder(SEASON)
        assert sum(tally.new for tally in tallies) == 0
        assert [tally.already_there for tally in tallies] == [tally.new for tally in self.tallies]
