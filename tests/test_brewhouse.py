"""The brewhouse that other tests stand on does what it says."""

from brewery.kernel.access import Role
from tests.brewhouse import Brewhouse, micro


def test_there_is_a_person_of_every_role_and_one_without(brewhouse: Brewhouse):
    assert set(brewhouse.people) == {*(role.value for role in Role), ""}
    assert brewhouse.people[""].rights == frozenset()
    assert brewhouse.people["brewing"].has_right("brew")


def test_the_whole_chain_ends_with_kegs_in_the_cold_store_and_at_the_inn(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    assert brewhouse.held("KEG1", "COLD") == micro("7 each")
    assert brewhouse.held("KEG1", "customer:INN") == micro("3 each")
    assert brewhouse.held("M1", "SILO1") == micro("800 kg")
    assert brewhouse.lot("Y2").generation == 2
