"""The page of proofs, and what quality's desk says of the last one."""

import uuid
from datetime import timedelta

import time_machine

from brewery.kernel.clock import now
from brewery.kernel.models import Job
from tests.brewhouse import Brewhouse
from tests.signing import signed_in
from traceability.services.proofs import PROVE, prove_and_keep


def test_the_page_tells_what_the_last_proof_found_and_the_desk_how_much(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    assert "The record was not proved yet." in client.get("/quality/").content.decode()
    assert "The record was not proved yet." in client.get("/quality/proof/").content.decode()
    brewhouse.deliver("PILS", "M1", "10 kg")
    prove_and_keep()
    page = client.get("/quality/proof/").content.decode()
    lot = brewhouse.lot("M1").pk
    for words in ("1 open finding.", "No certificate: 1", "Not balanced: none", f"/lots/{lot}/", "/lots/M1/audit/"):
        assert words in page
    assert "1 open finding." in client.get("/quality/").content.decode()


def test_a_missed_night_is_told_on_the_desk(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    prove_and_keep()
    assert "no open findings." in client.get("/quality/").content.decode()
    with time_machine.travel(now() + timedelta(days=2), tick=False):
        client = signed_in(brewhouse, "quality")
        assert "a night was missed" in client.get("/quality/").content.decode()


def test_a_proof_is_asked_for_once_while_one_waits(brewhouse: Brewhouse):
    client = signed_in(brewhouse, "quality")
    assert "Prove it now" in client.get("/quality/proof/").content.decode()
    for _ in range(2):
        assert client.post("/quality/proof/", {"request_id": str(uuid.uuid4())}).status_code == 303
    assert Job.objects.get(name=PROVE).state == Job.State.WAITING
    assert signed_in(brewhouse, "brewing").post("/quality/proof/").status_code == 403
