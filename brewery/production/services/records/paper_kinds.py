"""The kinds of files that move no stock: settings, limits, rules, orders, certificates, brew sheets, logs, readings."""

from brewery.kernel.tables.cells import AMOUNT, CODE, DAY, MOMENT, UNIT, WHOLE, WORDS, choice, text
from brewery.production.models import LogEntry, TankReading
from brewery.production.services.records.cells import FIGURE, LISTED, YES
from brewery.production.services.records.columns import Column
from brewery.production.services.records.kind_forms import events, new, of_record, optional, register
from brewery.science.lot_patterns import Span
from brewery.science.units import UNITS
from inventory.models import ReorderSetting
from inventory.services.cells import LOT

MATERIAL_SETTINGS = register(
    "material_settings",
    Column("material", CODE),
    optional("shelf_life_days", WHOLE),
    optional("told_days_before", WHOLE),
    optional("open_days", WHOLE),
    optional("warmest_arrival_c", FIGURE),
    optional("delivery_tolerance_pct", FIGURE),
    optional("count_tolerance_pct", FIGURE),
    optional("allergens", LISTED),
    optional("allergens_exempt_in_eu", LISTED),
    optional("animal_origin", YES),
    optional("claims", LISTED),
    optional("salt", text(20)),
    optional("container", text(8)),
    names={
        "warmest_arrival_milli_c": "warmest_arrival_c",
        "delivery_tolerance_ppm": "delivery_tolerance_pct",
        "count_tolerance_ppm": "count_tolerance_pct",
        "is_of_animal_origin": "animal_origin",
    },
)

CONTACTS = register(
    "contacts",
    Column("contact", CODE),
    Column("party", CODE),
    Column("name", text(120)),
    optional("role", text(80)),
    optional("phone", text(40)),
    optional("email", text(120)),
    optional("at_night", YES),
    optional("note", text(200)),
    names={"is_reachable_at_night": "at_night"},
)

MINIMUM_LIVES = events(
    "minimum_lives",
    Column("customer", CODE),
    optional("material", CODE),
    optional("days", WHOLE),
    names={"party": "customer"},
)

SPECIFICATIONS = events(
    "specifications",
    Column("material", CODE),
    Column("property", text(40)),
    optional("least", FIGURE),
    optional("most", FIGURE),
    Column("in_force_from", DAY),
    optional("withdrawn", YES),
    optional("source", text(200)),
    names={"is_withdrawn": "withdrawn"},
)

SUPPLY_CONTRACTS = events(
    "supply_contracts",
    new("contract", text(40)),
    Column("supplier", CODE),
    Column("material", CODE),
    Column("quantity", AMOUNT),
    Column("unit", UNIT),
    Column("begins_on", DAY),
    Column("ends_on", DAY),
    optional("crop_year", WHOLE),
    optional("note", text(200)),
    names={"number": "contract"},
)

REORDER_SETTINGS = events(
    "reorder_settings",
    Column("material", CODE),
    Column("supplier", CODE),
    Column("lead_days", WHOLE),
    Column("policy", choice(*ReorderSetting.Policy.values)),
    Column("quantity", AMOUNT),
    Column("unit", UNIT),
    optional("service_pct", FIGURE),
    optional("review_days", WHOLE),
    optional("pack", AMOUNT),
    optional("least", AMOUNT),
    optional("ended", YES),
    names={"service": "service_pct", "service_ppm": "service_pct", "is_ended": "ended"},
)

PURCHASE_ORDERS = events(
    "purchase_orders",
    of_record("supplier", CODE),
    of_record("order", text(40), makes=True),
    Column("material", CODE),
    Column("quantity", AMOUNT),
    Column("unit", UNIT),
    Column("due_on", DAY),
    optional("supplier_reference", text(60)),
    optional("contract", text(40)),
    of_record("note", text(200), required=False),
    several_lines=True,
    names={"number": "order", "ordered_on": "happened_at"},
)

LOT_COSTS = events(
    "lot_costs",
    Column("lot", LOT),
    Column("unit_cost", FIGURE),
    Column("currency", text(3)),
    names={"unit_cost_e4": "unit_cost"},
)

CERTIFICATES = events(
    "certificates",
    of_record("lot", LOT),
    of_record("number", text(60), required=False),
    of_record("laboratory", text(120), required=False),
    of_record("issued_on", DAY, required=False),
    Column("property", text(40)),
    Column("value", text(120)),
    optional("method", text(60)),
    of_record("replaces", CODE, required=False),
    several_lines=True,
)

PARTS = {
    "grains": "grain",
    "hops": "hops",
    "salts": "salt",
    "ions": "ion",
    "mash_steps": "mash",
    "cellar_steps": "cellar",
    "formats": "format",
}
"""The lists of a sheet, and what their lines are called in the file."""

SHEET_UNITS = ("%", "g alpha")
"""What a sheet counts in besides the units of stock: shares, and hops by the alpha acids that they bring."""

BREW_SHEETS = events(
    "brew_sheets",
    of_record("beer", CODE),
    Column("part", choice("figure", *PARTS.values())),
    Column("position", WHOLE),
    optional("what", text(40)),
    optional("material", CODE),
    optional("amount", FIGURE),
    optional("unit", choice(*UNITS, *SHEET_UNITS)),
    optional("vessel", text(20)),
    optional("temperature_c", FIGURE),
    optional("minutes", WHOLE),
    optional("days", WHOLE),
    optional("words", WORDS),
    several_lines=True,
    lists=PARTS,
    names={
        "in_use_since": "happened_at",
        **dict.fromkeys(("yeast", "liquor", "formats"), "material"),
        **dict.fromkeys(("action", "phase", "stage", "into", "ion"), "what"),
        **dict.fromkeys(("weight", "alpha", "quantity", "share_pct", "share_ppm", "mg_per_l"), "amount"),
        **dict.fromkeys(("milli_mg_per_l", "cold_wort", "mash_liquor", "sparge_liquor"), "amount"),
        "temperature_milli_c": "temperature_c",
        "note": "words",
    },
)

BREW_LOG = events(
    "brew_log",
    Column("brew", text(20)),
    Column("step", choice(*LogEntry.Step.values)),
    optional("property", choice(*LogEntry.Property.values)),
    optional("value", FIGURE),
    optional("hot", YES),
    optional("vessel", text(40)),
    optional("words", text(200)),
    optional("replaces", CODE),
    optional("reason", text(200)),
    names={"is_hot": "hot", "entry": "replaces"},
)

TANK_READINGS = events(
    "tank_readings",
    Column("vessel", CODE),
    Column("property", choice(*TankReading.Property.values)),
    Column("value", FIGURE),
    optional("remark", text(200)),
    of_record("replaces", CODE, required=False),
    of_record("reason", text(200), required=False),
    several_lines=True,
    names={"readings": "value", "reading": "replaces"},
)

STRAIN_SETTINGS = events(
    "strain_settings",
    Column("yeast", CODE),
    Column("last_generation", WHOLE),
    Column("least_viability_pct", FIGURE),
    Column("most_days", WHOLE),
    Column("rate", FIGURE),
    optional("harvest_from_days", WHOLE),
    optional("harvest_until_days", WHOLE),
    Column("in_force_from", DAY),
    optional("source", text(200)),
    names={"material": "yeast", "least_viability": "least_viability_pct"},
)

PLACE_TEMPERATURES = events(
    "place_temperatures",
    Column("location", CODE),
    optional("temperature_c", FIGURE),
    names={"milli_c": "temperature_c", "since": "happened_at"},
)

CLIMATE_LIMITS = events(
    "climate_limits",
    Column("location", CODE),
    optional("least_c", FIGURE),
    optional("most_c", FIGURE),
    optional("tolerated_minutes", WHOLE),
    optional("silent_minutes", WHOLE),
    names={"least_milli_c": "least_c", "most_milli_c": "most_c", "since": "happened_at"},
)

CLIMATE_READINGS = events(
    "climate_readings",
    of_record("location", CODE),
    of_record("logger", text(40)),
    Column("read_at", MOMENT),
    Column("temperature_c", FIGURE),
    several_lines=True,
    names={"readings": "temperature_c", "milli_c": "temperature_c"},
)

CLIMATE_CORRECTIONS = events(
    "climate_corrections",
    Column("location", CODE),
    Column("logger", text(40)),
    Column("first_at", MOMENT),
    Column("last_at", MOMENT),
    optional("counts", YES),
    Column("reason", text(200)),
)

PACKAGING_RULES = events(
    "packaging_rules",
    optional("material", CODE),
    Column("pattern", text(80)),
    optional("l_prefix", YES),
    optional("life", WHOLE),
    optional("life_in", choice(*Span)),
    optional("to_months_end", YES),
    Column("in_force_from", DAY),
    names={"has_l_prefix": "l_prefix"},
)

CUSTOMER_ORDERS = events(
    "customer_orders",
    of_record("customer", CODE),
    of_record("order", text(40), makes=True),
    of_record("wanted_on", DAY),
    Column("material", CODE),
    Column("count", WHOLE),
    of_record("customer_reference", text(60), required=False),
    of_record("deliver_to", text(200), required=False),
    of_record("note", text(200), required=False),
    several_lines=True,
    names={"number": "order", "lines": "material", "entered_at": "happened_at"},
)
