"""The pages of yeast: what is on hand, a strain, a culture, and what is discarded."""

from brewery.production.models import StrainSetting
from inventory.models import Event, Location
from tests.brewhouse import START, Brewhouse, rid
from tests.inventory.laboratory import Laboratory
from tests.signing import signed_in
from tests.standing import built_once


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    """Y1 was pitched into T1, of which Y2 was cropped; a count of Y1 says 97 %."""
    brewhouse.stock_up()
    brewhouse.ferment()
    brewhouse.harvest("FV1", "20 L", "Y2", "22 kg", hours=100)
    Location.objects.filter(code__in=("COLD", "BRINK1")).update(nominal_milli_c=2000)
    Laboratory(brewhouse).enter("Y1", values={"viability": "97"}, number="V-1", issued_on=START.date())
    return brewhouse


def text(house: Brewhouse, address: str, role: str = "brewing") -> str:
    answer = signed_in(house, role).get(address)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def test_the_overview_says_what_to_do_with_each_lot(house: Brewhouse):
    shown = text(house, "/yeast/")
    assert "Generation 10 is the last; at least 85 % alive; a crop is stored 14 days at most" in shown
    assert "as predicted from 97 % by certificate V-1 of 2026-03-02" in shown
    assert shown.count("Count it again, or discard it.") == 2  # both have lain since March


def test_a_culture_shows_its_lineage_and_what_it_touched(house: Brewhouse):
    shown = text(house, f"/yeast/lots/{house.lot('Y1').pk}/")
    assert f'href="/yeast/lots/{house.lot("Y2").pk}/"' in shown
    assert f'<a class="code" href="/lots/{house.lot("T1").pk}/">T1</a>' in shown
    assert '<a class="code" href="/brewing/brews/B1/">B1</a>' in shown


def test_a_strain_is_set_anew_by_quality(house: Brewhouse):
    page = "/yeast/strains/YEAST/"
    assert "Set it anew" not in text(house, page)
    assert "Set it anew" in text(house, page, "quality")
    asked = {
        "request_id": str(rid()),
        "last_generation": "7",
        "least_viability_micro": "90",
        "most_days": "5",
        "rate_micro": "1,5",
        "harvest_from_days": "4",
        "in_force_from": "2026-03-02",
    }
    assert signed_in(house, "quality").post(page, asked).status_code == 303
    row = StrainSetting.objects.get()
    assert (row.last_generation, row.least_viability_micro, row.rate_micro) == (7, 90_000_000, 1_500_000)
    assert "Harvest from day 4 after the pitch." in text(house, page)


def test_a_setting_that_cannot_be_stands_beside_its_field(house: Brewhouse):
    asked = {
        "request_id": str(rid()),
        "last_generation": "7",
        "least_viability_micro": "90",
        "most_days": "5",
        "rate_micro": "90",
        "in_force_from": "2026-03-02",
    }
    answer = signed_in(house, "quality").post("/yeast/strains/YEAST/", asked)
    assert answer.status_code == 400
    assert "It must be 0.1 to 5 million cells per mL and °P." in answer.content.decode()


def test_who_works_the_cellar_discards_yeast_and_says_why(house: Brewhouse):
    page = f"/yeast/lots/{house.lot('Y2').pk}/"
    asked = {"request_id": str(rid()), "location": "BRINK1", "quantity": "22 kg", "reason": "smells of rubber"}
    for _ in range(2):
        assert signed_in(house).post(page, asked).status_code == 303
    event = Event.objects.get(kind=Event.Kind.DESTROY)
    assert (event.reason, event.actor, house.held("Y2", "BRINK1")) == ("smells of rubber", house.people["brewing"], 0)
    assert "discarded" in text(house, page)
    house.reverse(event)
    assert house.held("Y2", "BRINK1") == 22_000_000


def test_what_is_no_yeast_has_no_page_here(house: Brewhouse):
    assert signed_in(house).get(f"/yeast/lots/{house.lot('M1').pk}/").status_code == 404
    assert signed_in(house).get("/yeast/strains/PILS/").status_code == 404
