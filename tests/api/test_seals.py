"""Seals over the API: made, listed, found by the digest on a report, and looked at again."""

from inventory.models import Lot
from tests.api.client import Api
from tests.kernel.test_seals import behind_its_back


def test_a_seal_is_found_by_the_digest_that_a_report_carries(api: Api):
    api.house.whole_chain()
    seal = api.post("seals/", {}, "quality").json()
    assert api.post("seals/", {}, "quality").json() == seal
    assert api.get(f"seals/?digest={seal['digest']}", "auditor").json()["results"] == [seal]
    assert api.get(f"seals/?digest={'0' * 64}", "auditor").json()["results"] == []
    assert seal["previous"] is None
    assert seal["requests"] > 0


def test_what_was_changed_is_told_by_table_and_row(api: Api):
    api.house.deliver("PILS", "M1", "10 kg")
    api.post("seals/", {}, "quality")
    assert api.get("seal-findings/", "auditor").json() == []
    with behind_its_back():
        Lot.objects.filter(code="M1").update(supplier_lot="other")
    (finding,) = api.get("seal-findings/", "auditor").json()
    assert (finding["table"], finding["problem"]) == ("inventory.Lot", "it was changed")
