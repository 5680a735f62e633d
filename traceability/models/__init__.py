"""What quality keeps about whole families of lots: holds on a lot and all that comes of it."""

from traceability.models.holds import HeldLot, Hold, HoldRelease

__all__ = ["HeldLot", "Hold", "HoldRelease"]
