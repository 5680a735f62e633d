"""What is held and where, and the ledger of how it came to be there."""

from inventory.models.balances import Balance
from inventory.models.decisions import Decision
from inventory.models.events import Event
from inventory.models.links import Link
from inventory.models.locations import Location
from inventory.models.lots import Lot
from inventory.models.materials import Material
from inventory.models.parties import Party
from inventory.models.postings import Posting

__all__ = ["Balance", "Decision", "Event", "Link", "Location", "Lot", "Material", "Party", "Posting"]
