"""Which kind of record becomes which call."""

from collections.abc import Callable, Mapping
from types import MappingProxyType

from brewery.production.services.records.calls import (
    brewhouse,
    cellar,
    dispatch,
    packaging,
    purchasing,
    quality,
    registers,
    sheets,
    stock,
)
from brewery.production.services.records.calls.call import Call
from brewery.production.services.records.codes import Codes
from brewery.production.services.records.rows import Record

CALLS: Mapping[str, Callable[[Record, Codes], Call]] = MappingProxyType(
    {
        "people": registers.person,
        "materials": registers.material,
        "material_settings": registers.material_settings,
        "parties": registers.party,
        "contacts": registers.contact,
        "locations": registers.location,
        "specifications": quality.specification,
        "strain_settings": quality.strain_setting,
        "packaging_rules": packaging.rule,
        "place_temperatures": stock.place_temperature,
        "climate_limits": stock.climate_limit,
        "climate_readings": stock.climate_readings,
        "climate_corrections": stock.climate_correction,
        "minimum_lives": dispatch.minimum_life,
        "supply_contracts": purchasing.supply_contract,
        "reorder_settings": purchasing.reorder_setting,
        "purchase_orders": purchasing.purchase_order,
        "customer_orders": dispatch.customer_order,
        "deliveries": stock.delivery,
        "lot_costs": purchasing.lot_cost,
        "certificates": quality.certificate,
        "decisions": stock.decision,
        "brew_sheets": sheets.brew_sheet,
        "brews": brewhouse.brew,
        "packaging_runs": brewhouse.packaging_run,
        "draws": brewhouse.draw,
        "returns_to_stock": brewhouse.return_to_stock,
        "brew_log": brewhouse.log_line,
        "cleanings": stock.cleaning,
        "knock_outs": brewhouse.knock_out,
        "pitches": cellar.pitch,
        "additions": cellar.addition,
        "transfers": cellar.transfer,
        "harvests": cellar.harvest,
        "filtrations": cellar.filtration,
        "tank_readings": cellar.tank_readings,
        "packagings": packaging.packaging,
        "shipments": dispatch.shipment,
        "customer_returns": dispatch.customer_return,
        "return_outcomes": dispatch.return_outcome,
        "moves": stock.move,
        "counts": stock.count,
        "destructions": stock.destruction,
        "samples": stock.sample,
        "retained_samples": packaging.retained_sample,
        "sample_disposals": packaging.sample_disposal,
        "reversals": stock.reversal,
    }
)
