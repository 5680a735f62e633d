"""The proof over the API."""

from tests.api.client import Api
from traceability.services.proofs import prove_and_keep


def test_the_proof_of_a_record_names_what_is_missing_and_how_much_it_put_through(api: Api):
    api.house.deliver("PILS", "M1", "10 kg")
    answer = api.get("proofs/", "auditor").json()
    assert (answer["lots"], answer["links"]) == (1, 0)
    assert answer["doubts"] == [
        {
            "question": "a_bought_lot_has_a_certificate",
            "lot": api.house.lot("M1").pk,
            "words": "no certificate of analysis is on record",
        }
    ]
    assert answer["by_question"]["the_mass_balance_closes"] == 0


def test_kept_proofs_and_their_findings_are_listed_until_a_later_proof_finds_them_no_longer(api: Api):
    api.house.deliver("PILS", "M1", "10 kg")
    prove_and_keep()
    (proof,) = api.get("kept-proofs/", "auditor").json()["results"]
    assert (proof["lots"], proof["links"], proof["findings"]) == (1, 0, 1)
    (finding,) = api.get("findings/?lot=M1&is_standing=true", "auditor").json()["results"]
    assert finding["question"] == "a_bought_lot_has_a_certificate"
    assert (finding["found_at"], finding["ended_at"]) == (proof["proved_at"], None)
    assert not api.get("findings/?is_standing=false", "auditor").json()["results"]
    assert not api.get("findings/?question=the_mass_balance_closes", "auditor").json()["results"]
