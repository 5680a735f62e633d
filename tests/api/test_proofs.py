"""The proof over the API."""

from tests.api.client import Api


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
