"""What is done about the stock beside the web process."""

from inventory.jobs import alerts, audits, keepings, telling

__all__ = ["alerts", "audits", "keepings", "telling"]
