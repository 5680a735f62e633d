"""What is held and where, the ledger of how it came to be there, and the papers that came with it."""

from inventory.models.alerts import Alert, AlertLook, AlertStep
from inventory.models.attachments import Attachment
from inventory.models.balances import Balance
from inventory.models.certificates import Certificate, CertificateValue, Specification
from inventory.models.cleanings import Cleaning, ServiceMark, UncleanFill
from inventory.models.climates import ClimateCorrection, ClimateLimit, ClimateReading
from inventory.models.contacts import Contact
from inventory.models.costs import LotCost
from inventory.models.count_sheets import CountFind, CountLine, CountSheet
from inventory.models.customers import MinimumLife, PartyContact
from inventory.models.day_flows import ClockOffset, DayFlow, YearFlow
from inventory.models.decisions import Decision
from inventory.models.deliveries import Delivery, DeliveryChange, DeliveryLine
from inventory.models.events import Event
from inventory.models.hop_rates import HopRate
from inventory.models.keepings import Keeping, KeepingNews
from inventory.models.links import Link
from inventory.models.locations import Location
from inventory.models.logistic_units import LogisticUnit, UnitMove
from inventory.models.lots import Lot
from inventory.models.mail_wishes import MailWish
from inventory.models.materials import Material
from inventory.models.order_drafts import OrderDraft, OrderDraftLine
from inventory.models.orders import OrderLine, PurchaseOrder
from inventory.models.pack_changes import PackChange
from inventory.models.parties import Party
from inventory.models.postings import Posting
from inventory.models.reorder_settings import ReorderSetting
from inventory.models.reservations import Reservation
from inventory.models.supply_contracts import SupplyContract
from inventory.models.trade_items import TradeItem
from inventory.models.warmths import Warmth
from inventory.models.webhooks import Digest, Webhook, WebhookMessage

__all__ = [
    "Alert",
    "AlertLook",
    "AlertStep",
    "Attachment",
    "Balance",
    "Certificate",
    "CertificateValue",
    "Cleaning",
    "ClimateCorrection",
    "ClimateLimit",
    "ClimateReading",
    "ClockOffset",
    "Contact",
    "CountFind",
    "CountLine",
    "CountSheet",
    "DayFlow",
    "Decision",
    "Delivery",
    "DeliveryChange",
    "DeliveryLine",
    "Digest",
    "Event",
    "HopRate",
    "Keeping",
    "KeepingNews",
    "Link",
    "Location",
    "LogisticUnit",
    "Lot",
    "LotCost",
    "MailWish",
    "Material",
    "MinimumLife",
    "OrderDraft",
    "OrderDraftLine",
    "OrderLine",
    "PackChange",
    "Party",
    "PartyContact",
    "Posting",
    "PurchaseOrder",
    "ReorderSetting",
    "Reservation",
    "ServiceMark",
    "Specification",
    "SupplyContract",
    "TradeItem",
    "UncleanFill",
    "UnitMove",
    "Warmth",
    "Webhook",
    "WebhookMessage",
    "YearFlow",
]
