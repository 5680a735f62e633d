"""What happened in the brewhouse before the browser looks."""

from tests.brewhouse import Brewhouse

LATER = 1000
"""Hours after which nothing of the story happens."""


def tell_story(house: Brewhouse) -> None:
    """From delivery to kegs at the inn, by way of a silo blend, kraeusen, dry hops and a yeast harvest.

    M1 + M2 → MX1 in the silo. W1 (of M1) → T1, W2 (of MX1) → T2; T1 + T2 → KR1 + H2 → D1 → BB1 → KEG1; D1 left
    residue in the yeast Y2, whose mother is Y1. X9 was delivered by mistake and H3 is on hold.
    """
    house.stock_up()
    house.ferment()
    house.deliver("PILS", "M2", "600 kg", "SILO1", hours=20, note="2", contents_code="MX1")
    second = house.start_brew("B2", hours=24)
    house.draw(second, ("MX1", "SILO1", "200 kg"), ("H1", "STORE", "2 kg"), ("S1", "STORE", "0.0002 kg"), hours=24)
    house.knock_out(second, "W2", {"FV2": "1000 L"}, loss="30 L", hours=32)
    house.pitch("FV2", "T2", ("Y1", "COLD", "10 kg"), hours=33)
    house.transfer("FV2", "FV1", "300 L", contents="KR1", kind="kraeusen", hours=80)
    house.add("FV1", "D1", ("H2", "STORE", "3 kg"), hours=100)
    house.harvest("FV1", "20 L", "Y2", "22 kg", hours=150)
    house.filter("FV1", "BT1", "BB1", "1200 L", ("A1", "STORE", "1 kg"), loss="10 L", hours=300)
    run = house.start_run("R1", hours=310)
    house.draw(run, ("K1", "STORE", "10 each"), hours=310)
    house.package(run, "BT1", "KEG1", 10, loss="5 L", hours=312)
    house.ship("INN", ("KEG1", "COLD", "4 each"), hours=320)
    house.take_back("INN", ("KEG1", "COLD", "1 each"), hours=340)
    house.reverse(house.deliver("GYPSUM", "X9", "25 kg", hours=350, note="3"))
    house.deliver("SAAZ", "H3", "20 kg", hours=360, supplier="HOPYARD", note="4")
    house.decide("H3", "on_hold", hours=361, reason="smells of cheese")


MALTS, BREWS = ("PILS", "SAAZ", "CASCADE", "GYPSUM"), 10


def many_lots(house: Brewhouse) -> None:
    """Ten brews of four lots each, all knocked out into Fermenter 1: 40 raw lots, 10 worts, 9 blends and yeast.

    The last blend, C10, is pitched as T1.
    """
    house.deliver("YEAST", "Y1", "50 kg", "COLD")
    for number in range(1, BREWS + 1):
        hours = 10 * number
        brew = house.start_brew(f"B{number}", hours=hours)
        for material in MALTS:
            house.deliver(material, f"{material}-{number}", "100 kg", hours=hours, note=f"{material} {number}")
        house.draw(brew, *[(f"{material}-{number}", "STORE", "20 kg") for material in MALTS], hours=hours)
        fill = "300 L" if number == 1 else ("300 L", f"C{number}")
        house.knock_out(brew, f"W{number}", {"FV1": fill}, hours=hours + 5)
    house.pitch("FV1", "T1", ("Y1", "COLD", "10 kg"), hours=200)
