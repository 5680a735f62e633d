"""The pages of how long things keep: what crosses first, and what is known of one lot."""

from datetime import date, timedelta

from django.test import Client

from brewery.kernel.clock import brewery_day, now
from inventory.models import HopRate, PackChange
from inventory.services.keepings import work_off
from tests.brewhouse import START, Brewhouse, rid
from tests.inventory.laboratory import Laboratory
from tests.inventory.pages.test_stock import text_of
from tests.inventory.test_hop_alpha import keep_at
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """H1 of 4 % came into a warm store long ago, H2 of 9 % lies cold and has no published rate; a keg bears a date."""
    keep_at("STORE", 20)
    keep_at("COLD", 5)
    brewhouse.deliver("SAAZ", "H1", "20 kg", supplier="HOPYARD")
    brewhouse.deliver("CASCADE", "H2", "10 kg", "COLD", note="2")
    brewhouse.deliver("KEG50", "K1", "20 each", "COLD", note="3", best_before=brewery_day() + timedelta(days=90))
    laboratory = Laboratory(brewhouse)
    laboratory.enter("H1", values={"alpha": "4"}, number="A-7", issued_on=START.date())
    laboratory.enter("H1", values={"alpha": "3.6"}, number="A-8", issued_on=date(2026, 4, 2))
    work_off()
    return brewhouse


def test_what_crosses_first_stands_first(client: Client, house: Brewhouse):
    client.force_login(house.people["auditor"])
    text = text_of(client.get("/keeping/"))
    assert "H1 Saaz Dry store 20 kg 80 % of its alpha acids left" in text
    assert "over for" in text
    assert text.index("H1 Saaz") < text.index("K1 Quillmere Lager, 50 L keg")
    assert "H2" not in text
    assert "H1" not in text_of(client.get("/keeping/?rule=beer_age"))


def test_a_hop_lot_is_told_with_its_assays_and_what_they_missed(client: Client, house: Brewhouse):
    client.force_login(house.people["brewing"])
    lot = house.lot("H1").pk
    answer = client.get(f"/keeping/lots/{lot}/?on=2026-05-01")
    text = text_of(answer)
    assert "3.6 % by certificate A-8 of 2026-04-02" in text
    assert "fitted to the assays of 2026-03-02 and 2026-04-02" in text
    # 31 days less two hours at 20 °C at the published rate: 4 × 0.51^(30.58/180) = 3.567.
    assert "2 Apr 2026 , certificate A-8 3.60 % 3.57 % 0.03 % no" in text
    assert "On 1 May 2026 :" in text.replace("2026:", "2026 :")
    assert '<svg xmlns="http://www.w3.org/2000/svg" class="chart time-chart"' in answer.content.decode()
    assert "It is a model and no assay" in text


def test_beer_and_what_has_no_assay_have_pages_too(client: Client, house: Brewhouse):
    client.force_login(house.people["auditor"])
    assert "as old as its date allows" in text_of(client.get(f"/keeping/lots/{house.lot('K1').pk}/"))
    text = text_of(client.get(f"/keeping/lots/{house.lot('H2').pk}/"))
    assert "No assay of its alpha acids is on record." in text
    assert "A pack was opened" not in text


def test_a_pack_and_a_rate_are_written_down_once(client: Client, house: Brewhouse):
    lot, request = house.lot("H1").pk, rid()
    client.force_login(house.people["brewing"])
    for _ in range(2):
        answer = client.post(f"/keeping/lots/{lot}/pack/", {"request_id": request, "pack": "sealed"})
        assert (answer.status_code, answer.url) == (303, f"/keeping/lots/{lot}/")
    assert PackChange.objects.get().since <= now()
    client.force_login(house.people["quality"])
    told = {"request_id": rid(), "loss_pct": "22.5", "source": "own trial", "of_all": "on"}
    assert client.post(f"/keeping/lots/{lot}/rate/", told).status_code == 303
    assert HopRate.objects.get().loss_micro_pct == 22_500_000
    assert "given for the material: own trial" not in text_of(client.get(f"/keeping/lots/{lot}/"))
    told = {"request_id": rid(), "loss_pct": "100", "source": "own trial"}
    refused = client.post(f"/keeping/lots/{lot}/rate/", told)
    assert refused.status_code == 400
    assert "loss_pct: 100.0 is not valid" in refused.content.decode()
