"""Addresses of stock and its ledger. Codes may hold a slash."""

from django.urls import path

from inventory.api.alerts import Alerts, AlertSteps, OneAlert
from inventory.api.balances import Balances
from inventory.api.certificate_files import CertificateFiles
from inventory.api.certificates import Certificates, OneCertificate
from inventory.api.cleanings import Cleanings, CleaningWithdrawals
from inventory.api.climates import ClimateCorrections, ClimateFiles, ClimateLimits, ClimateReadings
from inventory.api.contacts import ContactEndings, Contacts, MinimumLives
from inventory.api.costs import LotCosts, StockValues
from inventory.api.count_sheets import (
    CountBookings,
    CountDiscards,
    CountEntries,
    CountFinds,
    CountSheets,
    CountSubmissions,
    OneCountSheet,
    Recounts,
)
from inventory.api.counts import Counts
from inventory.api.decisions import BulkDecisions, Decisions
from inventory.api.deliveries import Deliveries, OneDelivery
from inventory.api.delivery_drafts import DeliveryDrafts, DraftBookings, DraftDiscards, OneDeliveryDraft
from inventory.api.destructions import Destructions
from inventory.api.draft_attachments import DraftAttachments
from inventory.api.draft_imports import DraftImports
from inventory.api.draft_lines import DraftLines, DraftScans, OneDraftLine
from inventory.api.events import Events, OneEvent
from inventory.api.keepings import HopRates, Keepings, LotAlphas, PackChanges
from inventory.api.labels import Labels
from inventory.api.locations import Locations, OneLocation
from inventory.api.lots import Lots, OneLot
from inventory.api.mail_wishes import MailWishes
from inventory.api.material_settings import MaterialSetups
from inventory.api.materials import Materials, OneMaterial
from inventory.api.moves import Moves
from inventory.api.opening_stock import OpeningStock
from inventory.api.ordering import (
    ContractClosures,
    Contracts,
    DraftOrders,
    OrderDraftChanges,
    OrderDraftDiscards,
    OrderDrafts,
    ReorderSettings,
)
from inventory.api.pallets import OnePallet, PalletLoads, PalletMoves, Pallets, PalletUnloads
from inventory.api.parties import OneParty, Parties
from inventory.api.place_temperatures import PlaceTemperatures
from inventory.api.proposals import Proposals
from inventory.api.purchase_orders import OnePurchaseOrder, OrderClosures, PurchaseOrders
from inventory.api.reservations import ReservationReleases, Reservations
from inventory.api.reversals import Reversals
from inventory.api.samples import Samples
from inventory.api.scans import Scans
from inventory.api.send_backs import SendBacks
from inventory.api.specifications import Specifications
from inventory.api.stock import StockByLot, StockByMaterial, StockByPlace, StockOfMaterial
from inventory.api.trade_items import OneTradeItem, TradeItems
from inventory.api.vessels import CleaningRules, Occupations, ServiceMarks, Vessels
from inventory.api.webhooks import WebhookEndings, WebhookMessages, Webhooks, WebhookSendings

urlpatterns = [
    path("alerts/", Alerts.as_view(), name="api-alerts"),
    path("alerts/<int:pk>/", OneAlert.as_view(), name="api-alert"),
    path("webhooks/", Webhooks.as_view(), name="api-webhooks"),
    path("webhook-endings/", WebhookEndings.as_view(), name="api-webhook-endings"),
    path("webhook-messages/", WebhookMessages.as_view(), name="api-webhook-messages"),
    path("webhook-sendings/", WebhookSendings.as_view(), name="api-webhook-sendings"),
    path("mail-wishes/", MailWishes.as_view(), name="api-mail-wishes"),
    path("alert-steps/", AlertSteps.as_view(), name="api-alert-steps"),
    path("materials/", Materials.as_view(), name="api-materials"),
    path("materials/<path:code>/", OneMaterial.as_view(), name="api-material"),
    path("material-settings/", MaterialSetups.as_view(), name="api-material-settings"),
    path("specifications/", Specifications.as_view(), name="api-specifications"),
    path("certificates/", Certificates.as_view(), name="api-certificates"),
    path("certificate-files/", CertificateFiles.as_view(), name="api-certificate-files"),
    path("certificates/<int:pk>/", OneCertificate.as_view(), name="api-certificate"),
    path("party-contacts/", Contacts.as_view(), name="api-party-contacts"),
    path("party-contact-endings/", ContactEndings.as_view(), name="api-party-contact-endings"),
    path("minimum-lives/", MinimumLives.as_view(), name="api-minimum-lives"),
    path("parties/", Parties.as_view(), name="api-parties"),
    path("parties/<path:code>/", OneParty.as_view(), name="api-party"),
    path("reorder-settings/", ReorderSettings.as_view(), name="api-reorder-settings"),
    path("supply-contracts/", Contracts.as_view(), name="api-supply-contracts"),
    path("supply-contract-closures/", ContractClosures.as_view(), name="api-supply-contract-closures"),
    path("order-drafts/", OrderDrafts.as_view(), name="api-order-drafts"),
    path("order-draft-changes/", OrderDraftChanges.as_view(), name="api-order-draft-changes"),
    path("order-draft-discards/", OrderDraftDiscards.as_view(), name="api-order-draft-discards"),
    path("order-draft-orders/", DraftOrders.as_view(), name="api-order-draft-orders"),
    path("climate-readings/", ClimateReadings.as_view(), name="api-climate-readings"),
    path("climate-files/", ClimateFiles.as_view(), name="api-climate-files"),
    path("climate-corrections/", ClimateCorrections.as_view(), name="api-climate-corrections"),
    path("climate-limits/", ClimateLimits.as_view(), name="api-climate-limits"),
    path("keepings/", Keepings.as_view(), name="api-keepings"),
    path("hop-packs/", PackChanges.as_view(), name="api-hop-packs"),
    path("hop-rates/", HopRates.as_view(), name="api-hop-rates"),
    path("lot-alphas/", LotAlphas.as_view(), name="api-lot-alphas"),
    path("place-temperatures/", PlaceTemperatures.as_view(), name="api-place-temperatures"),
    path("locations/", Locations.as_view(), name="api-locations"),
    path("locations/<path:code>/", OneLocation.as_view(), name="api-location"),
    path("vessels/", Vessels.as_view(), name="api-vessels"),
    path("vessels/<path:code>/occupations/", Occupations.as_view(), name="api-occupations"),
    path("cleanings/", Cleanings.as_view(), name="api-cleanings"),
    path("cleaning-withdrawals/", CleaningWithdrawals.as_view(), name="api-cleaning-withdrawals"),
    path("cleaning-rules/", CleaningRules.as_view(), name="api-cleaning-rules"),
    path("service-marks/", ServiceMarks.as_view(), name="api-service-marks"),
    path("lots/", Lots.as_view(), name="api-lots"),
    path("lots/<path:code>/", OneLot.as_view(), name="api-lot"),
    path("balances/", Balances.as_view(), name="api-balances"),
    path("opening-stock/", OpeningStock.as_view(), name="api-opening-stock"),
    path("lot-costs/", LotCosts.as_view(), name="api-lot-costs"),
    path("stock-values/", StockValues.as_view(), name="api-stock-values"),
    path("stock/materials/", StockByMaterial.as_view(), name="api-stock-materials"),
    path("stock/materials/<path:code>/", StockOfMaterial.as_view(), name="api-stock-material"),
    path("stock/lots/", StockByLot.as_view(), name="api-stock-lots"),
    path("stock/places/", StockByPlace.as_view(), name="api-stock-places"),
    path("proposals/", Proposals.as_view(), name="api-proposals"),
    path("reservations/", Reservations.as_view(), name="api-reservations"),
    path("reservation-releases/", ReservationReleases.as_view(), name="api-reservation-releases"),
    path("events/", Events.as_view(), name="api-events"),
    path("events/<int:pk>/", OneEvent.as_view(), name="api-event"),
    path("deliveries/", Deliveries.as_view(), name="api-deliveries"),
    path("deliveries/<int:pk>/", OneDelivery.as_view(), name="api-delivery"),
    path("delivery-drafts/", DeliveryDrafts.as_view(), name="api-delivery-drafts"),
    path("delivery-drafts/<int:pk>/", OneDeliveryDraft.as_view(), name="api-delivery-draft"),
    path("delivery-drafts/<int:pk>/lines/", DraftLines.as_view(), name="api-draft-lines"),
    path("delivery-drafts/<int:pk>/lines/<int:line>/", OneDraftLine.as_view(), name="api-draft-line"),
    path("delivery-drafts/<int:pk>/scans/", DraftScans.as_view(), name="api-draft-scans"),
    path("delivery-drafts/<int:pk>/imports/", DraftImports.as_view(), name="api-draft-imports"),
    path("delivery-drafts/<int:pk>/bookings/", DraftBookings.as_view(), name="api-draft-bookings"),
    path("delivery-drafts/<int:pk>/discards/", DraftDiscards.as_view(), name="api-draft-discards"),
    path("delivery-drafts/<int:pk>/attachments/", DraftAttachments.as_view(), name="api-draft-attachments"),
    path("purchase-orders/", PurchaseOrders.as_view(), name="api-purchase-orders"),
    path("purchase-orders/<path:number>/", OnePurchaseOrder.as_view(), name="api-purchase-order"),
    path("order-closures/", OrderClosures.as_view(), name="api-order-closures"),
    path("scans/", Scans.as_view(), name="api-scans"),
    path("labels/", Labels.as_view(), name="api-labels"),
    path("trade-items/", TradeItems.as_view(), name="api-trade-items"),
    path("trade-items/<str:gtin>/", OneTradeItem.as_view(), name="api-trade-item"),
    path("pallets/", Pallets.as_view(), name="api-pallets"),
    path("pallets/<str:sscc>/", OnePallet.as_view(), name="api-pallet"),
    path("pallet-loads/", PalletLoads.as_view(), name="api-pallet-loads"),
    path("pallet-unloads/", PalletUnloads.as_view(), name="api-pallet-unloads"),
    path("pallet-moves/", PalletMoves.as_view(), name="api-pallet-moves"),
    path("moves/", Moves.as_view(), name="api-moves"),
    path("counts/", Counts.as_view(), name="api-counts"),
    path("count-sheets/", CountSheets.as_view(), name="api-count-sheets"),
    path("count-sheets/<int:pk>/", OneCountSheet.as_view(), name="api-count-sheet"),
    path("count-entries/", CountEntries.as_view(), name="api-count-entries"),
    path("count-finds/", CountFinds.as_view(), name="api-count-finds"),
    path("count-submissions/", CountSubmissions.as_view(), name="api-count-submissions"),
    path("count-bookings/", CountBookings.as_view(), name="api-count-bookings"),
    path("recounts/", Recounts.as_view(), name="api-recounts"),
    path("count-discards/", CountDiscards.as_view(), name="api-count-discards"),
    path("destructions/", Destructions.as_view(), name="api-destructions"),
    path("samples/", Samples.as_view(), name="api-samples"),
    path("decisions/", Decisions.as_view(), name="api-decisions"),
    path("bulk-decisions/", BulkDecisions.as_view(), name="api-bulk-decisions"),
    path("returns-to-suppliers/", SendBacks.as_view(), name="api-returns-to-suppliers"),
    path("reversals/", Reversals.as_view(), name="api-reversals"),
]
