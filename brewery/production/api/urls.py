"""Addresses of brewing, cellar work, packaging and dispatch. Codes may hold a slash."""

from django.urls import path

from brewery.production.api.additions import Additions
from brewery.production.api.brew_attachments import BrewAttachments
from brewery.production.api.brew_log import BrewFigures, BrewLog, LogCorrections
from brewery.production.api.brews import Brews, OneBrew
from brewery.production.api.consistency import ConsistencyOfBeer
from brewery.production.api.customer_orders import (
    CustomerOrders,
    OneCustomerOrder,
    OrderCallOffs,
    OrderPicking,
    OrderPicks,
    OrderShipments,
    PickPutBacks,
)
from brewery.production.api.customer_returns import CustomerReturns
from brewery.production.api.delivery_notes import DeliveryNote, NextDeliveryNote
from brewery.production.api.dilutions import Dilutions
from brewery.production.api.discards import Discards
from brewery.production.api.draws import Draws, ReturnsToStock
from brewery.production.api.fermentations import Fermentations, OneFermentation
from brewery.production.api.fills import FiguresOfRun, Fills, FillUndos, RunFinishes
from brewery.production.api.filtrations import Filtrations
from brewery.production.api.harvests import Harvests
from brewery.production.api.knock_outs import KnockOuts
from brewery.production.api.logger_files import LoggerFiles
from brewery.production.api.packaging_codes import PackagingCodes
from brewery.production.api.packaging_rules import PackagingRules
from brewery.production.api.packaging_runs import OnePackagingRun, PackagingRuns
from brewery.production.api.packagings import Packagings
from brewery.production.api.pick_lists import PickLists
from brewery.production.api.pitches import Pitches
from brewery.production.api.plans import (
    BrewableSheets,
    BrewNeeds,
    BrewPlans,
    BrewShortages,
    OneBrewPlan,
    PlanCallOffs,
    PlanReservations,
    PlanStarts,
)
from brewery.production.api.propagations import Propagations
from brewery.production.api.reordering import Reorders
from brewery.production.api.retained_samples import RetainedSamples, SampleDisposals
from brewery.production.api.return_outcomes import ReturnDestructions, Returned, ReturnRestocks, ReturnReworks
from brewery.production.api.sheet_views import PrintedSheet, ScaledSheet, SheetComparison
from brewery.production.api.sheets import (
    BrewSheets,
    OneBrewSheet,
    SheetCopies,
    SheetDiscards,
    SheetUses,
    SheetWithdrawals,
)
from brewery.production.api.shipments import PalletShipments, Shipments
from brewery.production.api.strains import StrainSettings
from brewery.production.api.tank_readings import ReadingCorrections, TankReadings
from brewery.production.api.transfers import Transfers
from brewery.production.api.using_up import UsingUpProposal, UsingUpReservations
from brewery.production.api.yeast import TouchedBrews, YeastLineage, YeastOnHand
from brewery.production.api.yeast_counts import YeastCounts

urlpatterns = [
    path("brew-sheets/", BrewSheets.as_view(), name="api-brew-sheets"),
    path("brew-sheets/<int:pk>/", OneBrewSheet.as_view(), name="api-brew-sheet"),
    path("brew-sheets/<int:pk>/uses/", SheetUses.as_view(), name="api-sheet-uses"),
    path("brew-sheets/<int:pk>/discards/", SheetDiscards.as_view(), name="api-sheet-discards"),
    path("brew-sheets/<int:pk>/withdrawals/", SheetWithdrawals.as_view(), name="api-sheet-withdrawals"),
    path("brew-sheets/<int:pk>/copies/", SheetCopies.as_view(), name="api-sheet-copies"),
    path("brew-sheets/<int:pk>/scaled/", ScaledSheet.as_view(), name="api-sheet-scaled"),
    path("brew-sheets/<int:pk>/comparison/", SheetComparison.as_view(), name="api-sheet-comparison"),
    path("brew-sheets/<int:pk>/print/", PrintedSheet.as_view(), name="api-sheet-print"),
    path("reorders/", Reorders.as_view(), name="api-reorders"),
    path("using-up/", UsingUpProposal.as_view(), name="api-using-up"),
    path("using-up-reservations/", UsingUpReservations.as_view(), name="api-using-up-reservations"),
    path("brew-plans/", BrewPlans.as_view(), name="api-brew-plans"),
    path("brew-plans/<path:code>/starts/", PlanStarts.as_view(), name="api-plan-starts"),
    path("brew-plans/<path:code>/call-offs/", PlanCallOffs.as_view(), name="api-plan-call-offs"),
    path("brew-plans/<path:code>/reservations/", PlanReservations.as_view(), name="api-plan-reservations"),
    path("brew-plans/<path:code>/", OneBrewPlan.as_view(), name="api-brew-plan"),
    path("brew-needs/", BrewNeeds.as_view(), name="api-brew-needs"),
    path("brew-shortages/", BrewShortages.as_view(), name="api-brew-shortages"),
    path("brewable-sheets/", BrewableSheets.as_view(), name="api-brewable-sheets"),
    path("consistency/", ConsistencyOfBeer.as_view(), name="api-consistency"),
    path("brews/", Brews.as_view(), name="api-brews"),
    path("brews/<path:code>/log/", BrewLog.as_view(), name="api-brew-log"),
    path("brews/<path:code>/log-corrections/", LogCorrections.as_view(), name="api-log-corrections"),
    path("brews/<path:code>/figures/", BrewFigures.as_view(), name="api-brew-figures"),
    path("brews/<path:code>/pick-list/", PickLists.as_view(), name="api-pick-list"),
    path("brews/<path:code>/attachments/", BrewAttachments.as_view(), name="api-brew-attachments"),
    path("brews/<path:code>/", OneBrew.as_view(), name="api-brew"),
    path("draws/", Draws.as_view(), name="api-draws"),
    path("returns-to-stock/", ReturnsToStock.as_view(), name="api-returns-to-stock"),
    path("knock-outs/", KnockOuts.as_view(), name="api-knock-outs"),
    path("pitches/", Pitches.as_view(), name="api-pitches"),
    path("additions/", Additions.as_view(), name="api-additions"),
    path("transfers/", Transfers.as_view(), name="api-transfers"),
    path("dilutions/", Dilutions.as_view(), name="api-dilutions"),
    path("strain-settings/", StrainSettings.as_view(), name="api-strain-settings"),
    path("yeast/", YeastOnHand.as_view(), name="api-yeast"),
    path("yeast/lineage/", YeastLineage.as_view(), name="api-yeast-lineage"),
    path("yeast/touched-brews/", TouchedBrews.as_view(), name="api-touched-brews"),
    path("yeast-counts/", YeastCounts.as_view(), name="api-yeast-counts"),
    path("yeast-discards/", Discards.as_view(), name="api-yeast-discards"),
    path("propagations/", Propagations.as_view(), name="api-propagations"),
    path("harvests/", Harvests.as_view(), name="api-harvests"),
    path("logger-files/", LoggerFiles.as_view(), name="api-logger-files"),
    path("tank-readings/", TankReadings.as_view(), name="api-tank-readings"),
    path("tank-reading-corrections/", ReadingCorrections.as_view(), name="api-tank-reading-corrections"),
    path("fermentations/", Fermentations.as_view(), name="api-fermentations"),
    path("fermentations/<path:code>/", OneFermentation.as_view(), name="api-fermentation"),
    path("filtrations/", Filtrations.as_view(), name="api-filtrations"),
    path("packaging-runs/", PackagingRuns.as_view(), name="api-packaging-runs"),
    path("packaging-runs/<path:code>/figures/", FiguresOfRun.as_view(), name="api-run-figures"),
    path("fills/", Fills.as_view(), name="api-fills"),
    path("fill-undos/", FillUndos.as_view(), name="api-fill-undos"),
    path("run-finishes/", RunFinishes.as_view(), name="api-run-finishes"),
    path("packaging-codes/", PackagingCodes.as_view(), name="api-packaging-codes"),
    path("packaging-rules/", PackagingRules.as_view(), name="api-packaging-rules"),
    path("retained-samples/", RetainedSamples.as_view(), name="api-retained-samples"),
    path("sample-disposals/", SampleDisposals.as_view(), name="api-sample-disposals"),
    path("packaging-runs/<path:code>/", OnePackagingRun.as_view(), name="api-packaging-run"),
    path("packagings/", Packagings.as_view(), name="api-packagings"),
    path("shipments/", Shipments.as_view(), name="api-shipments"),
    path("pallet-shipments/", PalletShipments.as_view(), name="api-pallet-shipments"),
    path("customer-orders/", CustomerOrders.as_view(), name="api-customer-orders"),
    path("customer-orders/<path:number>/call-offs/", OrderCallOffs.as_view(), name="api-order-call-offs"),
    path("customer-orders/<path:number>/picking/", OrderPicking.as_view(), name="api-order-picking"),
    path("customer-orders/<path:number>/picks/", OrderPicks.as_view(), name="api-order-picks"),
    path("customer-orders/<path:number>/shipments/", OrderShipments.as_view(), name="api-order-shipments"),
    path("customer-orders/<path:number>/", OneCustomerOrder.as_view(), name="api-customer-order"),
    path("picks/<int:pk>/put-backs/", PickPutBacks.as_view(), name="api-pick-put-backs"),
    path("delivery-notes/next/", NextDeliveryNote.as_view(), name="api-next-delivery-note"),
    path("delivery-notes/<int:pk>/", DeliveryNote.as_view(), name="api-delivery-note"),
    path("returned-goods/", Returned.as_view(), name="api-returned-goods"),
    path("returned-goods/<int:pk>/restocks/", ReturnRestocks.as_view(), name="api-return-restocks"),
    path("returned-goods/<int:pk>/destructions/", ReturnDestructions.as_view(), name="api-return-destructions"),
    path("returned-goods/<int:pk>/reworks/", ReturnReworks.as_view(), name="api-return-reworks"),
    path("customer-returns/", CustomerReturns.as_view(), name="api-customer-returns"),
]
