"""The rules of WCAG 2.1, levels A and AA, as far as axe-core tries them, by daylight and in the dark."""

from datetime import timedelta

import pytest
from axe_playwright_python.sync_playwright import Axe

from brewery.kernel.clock import brewery_day, now
from brewery.production.services.plans import plan_brew
from brewery.production.services.reordering import draft_what_is_due
from inventory.models import Alert, Balance, Lot
from inventory.services.alerts import look
from inventory.services.climate_corrections import correct_climate
from inventory.services.climates import Logged, set_climate_limit, take_climate_readings
from inventory.services.keepings import work_out_all
from inventory.services.pallets import make_pallet
from inventory.services.reorder_settings import set_reordering
from inventory.services.webhooks import add_webhook
from tests.brewhouse import at
from tests.production.brewday import sheet_of

pytestmark = pytest.mark.browser

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"], "resultTypes": ["violations"]}
SCHEMES = ("light", "dark")


def broken_rules(page):
    """The rules that the page breaks, each with the places where."""
    found = Axe().run(page, options=RULES).response
    assert found["passes"], "axe tried nothing"
    return [(rule["id"], [node["html"] for node in rule["nodes"]]) for rule in found["violations"]]


def look_at(page, go, addresses):
    return {
        (scheme, address): broken
        for scheme in SCHEMES
        for address in addresses
        if (page.emulate_media(color_scheme=scheme), go(address)) and (broken := broken_rules(page))
    }


def test_no_page_breaks_a_rule(page, house, watch, sign_in, go):
    watch.expect(404)
    addresses = ["/sign-in/", "/nothing/"]
    assert look_at(page, go, addresses) == {}
    sign_in("auditor")
    lots = [house.lot(code).pk for code in ("KEG1", "M1", "Y2", "H3")]
    mistake = type(house.lot("M1")).objects.get(code="X9").pk
    addresses = ["/", "/lots/", "/lots/?q=zz", "/lots/?before=x", *[f"/lots/{pk}/" for pk in (*lots, mistake)]]
    assert look_at(page, go, addresses) == {}
    sign_in("receiving")
    unit = make_pallet(stands_in=house.place("STORE"), made_at=at(400), **house.by("receiving"))
    pallet = f"/pallets/{unit.sscc}/"
    addresses = [f"/scan/?text={text}" for text in (unit.sscc, "H1", "FV1", "6291041500213", "hello")]
    addresses += ["/pallets/?all=on", "/pallets/new/", pallet, f"{pallet}label/", f"{pallet}shipment/", "/trade-items/"]
    assert look_at(page, go, addresses) == {}


def test_no_page_of_the_cellar_breaks_a_rule(page, house, watch, sign_in, go):
    for code in ("FV1", "FV2", "BT1"):
        for row in house.place(code).balances.held().select_related("lot"):
            house.destroy(row.lot.code, code, f"{row.quantity_micro / 1_000_000} L", hours=900)
    house.withdraw(house.clean("FV1", hours=901))
    house.clean("FV2", hours=902)
    house.out_of_service("BT1", hours=901)
    sign_in("brewing")
    tanks = [f"/cellar/{code}/" for code in ("FV1", "FV2", "BT1", "BRINK1")]
    care = [f"/cellar/FV1/{work}/" for work in ("cleaning", "cleaning-withdrawal", "out-of-service")]
    assert look_at(page, go, ["/cellar/", *tanks, *care, "/cellar/BT1/into-service/"]) == {}


def test_no_refusal_breaks_a_rule(page, house, watch, sign_in, go):
    watch.expect(403)
    sign_in("")
    assert look_at(page, go, ["/"]) == {}


def test_axe_would_tell(page, go):
    go("/sign-in/")
    page.evaluate("document.querySelectorAll('label').forEach(label => label.remove())")
    assert [rule for rule, _ in broken_rules(page)] == ["label"]


def test_no_page_of_alerts_breaks_a_rule(page, house, watch, sign_in, go):
    lot = Lot.objects.filter(pk__in=Balance.objects.inside().values("lot"), material__kind="malt")[0]
    house.decide(lot.code, "rejected", hours=900, reason="mould")
    look("rejected_here")
    sign_in("quality")
    assert look_at(page, go, ["/alerts/", f"/alerts/{Alert.objects.get(lot=lot).pk}/"]) == {}
    assert page.locator(".alerts .count").inner_text().startswith("1")


def test_the_page_of_jobs_breaks_no_rule(page, house, watch, sign_in, go):
    sign_in("administration")
    assert look_at(page, go, ["/jobs/"]) == {}


def test_no_page_of_webhooks_and_mail_breaks_a_rule(page, house, watch, sign_in, go, settings):
    settings.WEBHOOKS_WITHIN = True
    webhook = add_webhook(address="http://127.0.0.1:9/told", **house.by("administration"))
    lot = Lot.objects.filter(pk__in=Balance.objects.inside().values("lot"), material__kind="malt")[0]
    house.decide(lot.code, "rejected", hours=900, reason="mould")
    look("rejected_here")
    sign_in("administration")
    addresses = ["/alerts/webhooks/", f"/alerts/webhooks/{webhook.pk}/", "/alerts/mail/"]
    assert look_at(page, go, addresses) == {}


def test_no_page_of_how_long_things_keep_breaks_a_rule(page, house, watch, sign_in, go):
    work_out_all()
    sign_in("quality")
    lot = house.lot("H3").pk
    assert look_at(page, go, ["/keeping/", f"/keeping/lots/{lot}/", f"/keeping/lots/{lot}/rate/"]) == {}


def test_the_page_of_using_up_breaks_no_rule(page, house, watch, sign_in, go):
    sheet = sheet_of(house)
    plan_brew(code="P1", sheet=sheet, brew_on=brewery_day() + timedelta(days=7), **house.by("brewing"))
    sign_in("brewing")
    assert look_at(page, go, ["/brewing/using-up/"]) == {}


def test_no_page_of_ordering_breaks_a_rule(page, house, watch, sign_in, go):
    sheet, malt = sheet_of(house), house.material("PILS")
    for number in range(30):
        plan_brew(
            code=f"ORD{number}", sheet=sheet, brew_on=brewery_day() + timedelta(days=1 + number), **house.by("brewing")
        )
    reordered = {
        "supplier": house.party("MALTINGS"),
        "lead_days": 10,
        "policy": "up_to",
        "quantity_micro": 9_000_000_000,
    }
    set_reordering(material=malt, **reordered, **house.by("receiving"))
    (draft,) = draft_what_is_due(materials=[malt], **house.by("receiving"))
    sign_in("receiving")
    addresses = ["/reordering/", f"/reordering/{malt.pk}/", f"/reordering/{malt.pk}/setting/", "/contracts/"]
    assert look_at(page, go, [*addresses, "/contracts/new/", "/order-drafts/", f"/order-drafts/{draft.pk}/"]) == {}


def test_no_page_of_the_climate_breaks_a_rule(page, house, watch, sign_in, go):
    store = house.place("STORE")
    read = [
        Logged(store, "T-1", now() - timedelta(hours=hours), milli_c) for hours, milli_c in ((9, 4000), (5, 12_000))
    ]
    take_climate_readings(readings=read, **house.by("quality"))
    bounds = {"least_milli_c": 0, "most_milli_c": 8000}
    set_climate_limit(location=store, since=now() - timedelta(days=1), **bounds, **house.by("quality"))
    sign_in("quality")
    meant = {"logger": "T-1", "first_at": read[1].read_at, "last_at": read[1].read_at, "counts": False}
    correct_climate(location=store, reason="Battery changed", **meant, **house.by("quality"))
    of_place = [f"/climate/{store.pk}/{name}" for name in ("", "limit/", "correction/")]
    assert look_at(page, go, ["/climate/", "/climate/file/", *of_place]) == {}


def test_no_page_of_the_accountant_breaks_a_rule(page, house, watch, sign_in, go):
    sign_in("accounting")
    malt, days = house.material("PILS").pk, "?first=2026-03-01&last=2026-03-31"
    usage = [f"/usage/{days}", f"/usage/{days}&by=brew", f"/usage/sheets/{days}", f"/usage/{malt}/"]
    duty = "/duty/us/2026-03-01/2026-03-31/"
    duties = ["/duty/", duty, f"{duty}worksheet/", f"{duty}removed/", "/duty/rates/uk/"]
    duties += ["/duty/standings/", f"/duty/purposes/{days}"]
    assert look_at(page, go, [*usage, f"/usage/{malt}/used/{days}", *duties]) == {}
