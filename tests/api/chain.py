"""A whole chain as requests: every write of the API once, in the order in which a brewery does them.

Each step is (address, role that may, body). The bodies are also what the access table, the idempotency tests and the
refusals start from.
"""

from base64 import b64encode
from typing import Any

from inventory.models import Material
from inventory.queries.materials import version_of
from tests.brewhouse import at

Body = dict[str, Any]


def moment(hours: float) -> str:
    """Return so many hours after the beginning of time as requests write it."""
    return at(hours).isoformat()


def line(lot: str, location: str, quantity: str, unit: str = "kg") -> Body:
    """Return a line: a quantity of a lot at a place."""
    return {"lot": lot, "location": location, "quantity": quantity, "unit": unit}


def named(quantity: str, unit: str) -> Body:
    """Return a quantity with a name of its own."""
    return {"quantity": quantity, "unit": unit}


def delivered(material: str, lot_code: str, location: str, quantity: str, unit: str = "kg", **more: Any) -> Body:
    """Return a line of a delivery."""
    named_line = {"material": material, "lot_code": lot_code, "location": location, "quantity": quantity, "unit": unit}
    return {**named_line, **more}


MATERIAL: Body = {"code": "WHEAT", "name": "Wheat malt", "kind": "malt", "base_unit": "kg", "arrives": "released"}
PARTY: Body = {"code": "BARN", "name": "Quillmere Barn Shop", "role": "customer"}
LOCATION: Body = {"code": "FV3", "name": "Fermenter 3", "kind": "fermenter", "capacity": named("40", "hL")}
DELIVERY: Body = {
    "happened_at": moment(0),
    "supplier": "MALTINGS",
    "note_number": "N-1",
    "lines": [
        delivered("PILS", "M1", "SILO1", "1", "t", supplier_lot="88-1"),
        delivered("SAAZ", "H1", "STORE", "20", best_before="2028-01-31"),
        delivered("CASCADE", "H2", "STORE", "5"),
        delivered("YEAST", "Y1", "COLD", "50", generation=1),
        delivered("KIESELGUHR", "A1", "STORE", "100"),
        delivered("CROWN", "K1", "STORE", "10000", "each"),
    ],
}
ORDER: Body = {
    "number": "PO-1",
    "supplier": "HOPYARD",
    "ordered_on": "2026-02-20",
    "lines": [{"material": "SAAZ", "quantity": "20", "unit": "kg", "due_on": "2026-03-02"}],
}
ORDER_CLOSURE: Body = {"order": "PO-1", "reason": "the crop failed"}
MOVE: Body = {"happened_at": moment(1), "from_location": "STORE", "to_location": "COLD"} | {
    "lot": "H1",
    "quantity": "5",
    "unit": "kg",
}
COUNT: Body = {"happened_at": moment(1), **line("K1", "STORE", "9990", "each"), "reason": "ten were crushed"}
SAMPLE: Body = {"happened_at": moment(1), **line("H1", "STORE", "100", "g"), "laboratory": "LAB"}
DESTRUCTION: Body = {"happened_at": moment(1), **line("H1", "STORE", "1", "lb"), "reason": "wet"}
DECISION: Body = {"happened_at": moment(1), "lot": "A1", "decision": "released", "reason": "the certificate is in"}
COST: Body = {"lot": "A1", "unit_cost": "0.4275", "currency": "EUR"}
RESERVATION: Body = {"lot": "A1", "quantity": "5", "unit": "kg", "purpose": "FV2", "until": "2199-12-31"}
SETTINGS: Body = {
    "material": "CASCADE",
    "version": version_of(Material(arrives="released")),
    "shelf_life_days": 730,
    "claims": ["vegan"],
}
SPECIFICATION: Body = {"material": "CASCADE", "property": "alpha", "least": "5.5", "in_force_from": "2026-01-01"}
STRAIN: Body = {
    "material": "YEAST",
    "last_generation": 8,
    "least_viability": "85",
    "most_days": 14,
    "rate": "1.25",
    "in_force_from": "2026-01-01",
}
REORDERING: Body = {
    "material": "CASCADE",
    "supplier": "HOPYARD",
    "lead_days": 20,
    "policy": "up_to",
    "quantity": {"quantity": "40", "unit": "kg"},
}
CONTRACT: Body = {
    "number": "C-1",
    "supplier": "HOPYARD",
    "material": "SAAZ",
    "quantity": "200",
    "unit": "kg",
    "begins_on": "2026-01-01",
    "ends_on": "2026-12-31",
}
CONTRACT_CLOSURE: Body = {"contract": "C-1", "reason": "the rest was sold back"}
DRAFTED: Body = {"material": "SAAZ", "quantity": "25", "unit": "kg", "due_on": "2026-06-01"}
ORDER_DRAFT: Body = {"supplier": "HOPYARD", "lines": [DRAFTED]}
CLIMATE: Body = {
    "readings": [{"location": "STORE", "logger": "T-1", "read_at": moment(0), "temperature_c": "4.5"}],
}
CLIMATE_CORRECTION: Body = {
    "location": "STORE",
    "logger": "T-1",
    "first_at": moment(0),
    "last_at": moment(1),
    "reason": "It lay on the bench",
}
CLIMATE_LIMIT: Body = {"location": "STORE", "since": moment(0), "least_c": "0", "most_c": "8"}
HOP_PACK: Body = {"lot": "H1", "since": moment(0), "pack": "sealed"}
HOP_RATE: Body = {"lot": "H1", "loss_pct": "30", "source": "own trial of 2025"}
CERTIFICATE: Body = {"lot": "H2", "number": "A-7", "values": [{"property": "alpha", "value": "5.1"}]}
CERTIFICATE_FILE: Body = {"name": "coa.csv", "content": b64encode(b"lot,number,alpha\nH1,A-8,3.4\n").decode()}
BULK_DECISION: Body = {
    "happened_at": moment(1),
    "lots": [{"lot": "H2", "seen": "quarantined"}],
    "decision": "rejected",
    "reason": "too little alpha",
}
SEND_BACK: Body = {"happened_at": moment(2), **line("H2", "STORE", "5"), "reason": "too little alpha"}
BREW: Body = {"code": "B1", "beer": "LAGER", "started_at": moment(2)}
DRAW: Body = {
    "happened_at": moment(3),
    "into": "B1",
    "lines": [line("M1", "SILO1", "220"), line("H1", "STORE", "2000", "g")],
}
RETURN: Body = {"happened_at": moment(4), "out_of": "B1", "lines": [line("M1", "SILO1", "20")], "reason": "too much"}
KNOCK_OUT: Body = {
    "happened_at": moment(10),
    "brew": "B1",
    "wort_material": "WORT",
    "wort_code": "W1",
    "fills": [{"vessel": "FV1", "quantity": "10", "unit": "hL"}, {"vessel": "FV2", "quantity": "200", "unit": "L"}],
    "loss": named("30", "L"),
}
PITCH: Body = {
    "happened_at": moment(11),
    "vessel": "FV1",
    "beer": "LAGER",
    "contents_code": "T1",
    "yeasts": [line("Y1", "COLD", "10")],
}
ADDITION: Body = {
    "happened_at": moment(100),
    "vessel": "FV1",
    "contents_code": "D1",
    "lines": [line("H1", "STORE", "3")],
    "volume_after": named("1000", "L"),
}
TRANSFER: Body = {
    "happened_at": moment(110),
    "kind": "kraeusen",
    "from_vessel": "FV2",
    "to_vessel": "FV1",
    "quantity": "50",
    "unit": "L",
    "loss": named("1", "L"),
    "contents_code": "X1",
}
HARVEST: Body = {
    "happened_at": moment(150),
    "vessel": "FV1",
    "beer": named("20", "L"),
    "yeast_code": "Y2",
    "quantity": "22",
    "unit": "kg",
    "location": "BRINK1",
}
GRAVITIES: Body = {
    "readings": [
        {"vessel": "FV1", "property": "gravity", "value": plato, "happened_at": moment(hours)}
        for hours, plato in ((14, "12"), (90, "2.5"), (145, "2.5"))
    ]
}
YEAST_COUNT: Body = {
    "lot": "Y2",
    "happened_at": moment(150.5),
    "viability": "96",
    "cell_count": "1200",
    "bacteria": "0",
}
DISCARD: Body = {"happened_at": moment(151), **line("Y1", "COLD", "1"), "reason": "smells of rubber"}
PROPAGATION: Body = {
    "happened_at": moment(152),
    "mother": line("Y1", "COLD", "1"),
    "medium": [line("W1", "FV2", "20", "L")],
    "yeast_code": "P1",
    "quantity": "3",
    "unit": "kg",
    "location": "COLD",
}
FILTRATION: Body = {
    "happened_at": moment(300),
    "from_vessel": "FV1",
    "to_vessel": "BT1",
    "contents_code": "BB1",
    "quantity": "900",
    "unit": "L",
    "loss": named("10", "L"),
    "aids": [line("A1", "STORE", "1")],
}
RUN: Body = {"code": "R1", "beer": "LAGER", "started_at": moment(310)}
RUN_DRAW: Body = {"happened_at": moment(310), "into": "R1", "lines": [line("K1", "STORE", "10", "each")]}
PACKAGING: Body = {
    "happened_at": moment(312),
    "run": "R1",
    "vessel": "BT1",
    "material": "KEG50",
    "packaged_code": "KEG1",
    "count": 10,
    "loss": named("5", "L"),
    "location": "COLD",
    "best_before": "2026-09-30",
}
SHIPMENT: Body = {
    "happened_at": moment(320),
    "customer": "INN",
    "note_number": "S-1",
    "lines": [line("KEG1", "COLD", "4", "each")],
}
CUSTOMER_RETURN: Body = {
    "happened_at": moment(340),
    "customer": "INN",
    "lines": [line("KEG1", "COLD", "1", "each")],
    "reason": "leaks",
}

SSCC = "095212345000000018"
TRADE_ITEM: Body = {"gtin": "9521234500018", "material": "KEG50", "name": "Keg", "content": named("1", "each")}
PALLET: Body = {"sscc": SSCC, "stands_in": "COLD", "made_at": moment(350)}
PALLET_LOAD: Body = {"happened_at": moment(351), "pallet": SSCC, "lines": [line("KEG1", "COLD", "2", "each")]}
PALLET_MOVE: Body = {"happened_at": moment(352), "pallet": SSCC, "to_location": "STORE"}
PALLET_UNLOAD: Body = {
    "happened_at": moment(353),
    "pallet": SSCC,
    "lines": [line("KEG1", SSCC, "1", "each")],
    "to_location": "COLD",
}
PALLET_SHIPMENT: Body = {"happened_at": moment(354), "customer": "MARKET", "note_number": "S-2", "pallet": SSCC}

PLACE_TEMPERATURE: Body = {"location": "STORE", "since": moment(0), "temperature_c": "12.5"}

CHAIN: tuple[tuple[str, str, Body], ...] = (
    ("materials/", "administration", MATERIAL),
    ("parties/", "administration", PARTY),
    ("locations/", "administration", LOCATION),
    ("place-temperatures/", "administration", PLACE_TEMPERATURE),
    ("purchase-orders/", "receiving", ORDER),
    ("order-closures/", "receiving", ORDER_CLOSURE),
    ("deliveries/", "receiving", DELIVERY),
    ("moves/", "receiving", MOVE),
    ("counts/", "accounting", COUNT),
    ("samples/", "quality", SAMPLE),
    ("destructions/", "quality", DESTRUCTION),
    ("decisions/", "quality", DECISION),
    ("material-settings/", "administration", SETTINGS),
    ("specifications/", "quality", SPECIFICATION),
    ("strain-settings/", "quality", STRAIN),
    ("certificates/", "receiving", CERTIFICATE),
    ("certificate-files/", "receiving", CERTIFICATE_FILE),
    ("hop-packs/", "receiving", HOP_PACK),
    ("climate-readings/", "quality", CLIMATE),
    ("climate-corrections/", "quality", CLIMATE_CORRECTION),
    ("climate-limits/", "quality", CLIMATE_LIMIT),
    ("reorder-settings/", "receiving", REORDERING),
    ("supply-contracts/", "receiving", CONTRACT),
    ("order-drafts/", "receiving", ORDER_DRAFT),
    ("supply-contract-closures/", "receiving", CONTRACT_CLOSURE),
    ("hop-rates/", "quality", HOP_RATE),
    ("bulk-decisions/", "quality", BULK_DECISION),
    ("returns-to-suppliers/", "receiving", SEND_BACK),
    ("lot-costs/", "accounting", COST),
    ("reservations/", "brewing", RESERVATION),
    ("brews/", "brewing", BREW),
    ("draws/", "brewing", DRAW),
    ("returns-to-stock/", "brewing", RETURN),
    ("knock-outs/", "brewing", KNOCK_OUT),
    ("pitches/", "brewing", PITCH),
    ("additions/", "brewing", ADDITION),
    ("transfers/", "brewing", TRANSFER),
    ("tank-readings/", "brewing", GRAVITIES),
    ("harvests/", "brewing", HARVEST),
    ("yeast-counts/", "brewing", YEAST_COUNT),
    ("yeast-discards/", "brewing", DISCARD),
    ("propagations/", "brewing", PROPAGATION),
    ("filtrations/", "brewing", FILTRATION),
    ("packaging-runs/", "brewing", RUN),
    ("draws/", "brewing", RUN_DRAW),
    ("packagings/", "brewing", PACKAGING),
    ("shipments/", "receiving", SHIPMENT),
    ("customer-returns/", "receiving", CUSTOMER_RETURN),
    ("trade-items/", "administration", TRADE_ITEM),
    ("pallets/", "receiving", PALLET),
    ("pallet-loads/", "receiving", PALLET_LOAD),
    ("pallet-moves/", "receiving", PALLET_MOVE),
    ("pallet-unloads/", "receiving", PALLET_UNLOAD),
    ("pallet-shipments/", "receiving", PALLET_SHIPMENT),
)
