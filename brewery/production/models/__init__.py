"""How beers are brewed, and work under way: brews and packaging runs, each with a location of its own in the ledger."""

from brewery.production.models.brew_log import LogEntry, Substitution
from brewery.production.models.brews import Brew
from brewery.production.models.dispatch import CustomerOrder, CustomerOrderLine, Pick, Shipment
from brewery.production.models.packaging import (
    FilledTank,
    PackagingFill,
    PackagingRule,
    RetainedSample,
    RunFinish,
    SampleDisposal,
)
from brewery.production.models.plans import BrewPlan
from brewery.production.models.returns import CustomerReturn, ReturnOutcome
from brewery.production.models.runs import PackagingRun
from brewery.production.models.sheet_lines import CellarStep, MashStep, SheetGrain, SheetHop, SheetIon, SheetSalt
from brewery.production.models.sheets import BrewSheet
from brewery.production.models.strains import StrainSetting
from brewery.production.models.tank_readings import TankReading

__all__ = [
    "Brew",
    "BrewPlan",
    "BrewSheet",
    "CellarStep",
    "CustomerOrder",
    "CustomerOrderLine",
    "CustomerReturn",
    "FilledTank",
    "LogEntry",
    "MashStep",
    "PackagingFill",
    "PackagingRule",
    "PackagingRun",
    "Pick",
    "RetainedSample",
    "ReturnOutcome",
    "RunFinish",
    "SampleDisposal",
    "SheetGrain",
    "SheetHop",
    "SheetIon",
    "SheetSalt",
    "Shipment",
    "StrainSetting",
    "Substitution",
    "TankReading",
]
