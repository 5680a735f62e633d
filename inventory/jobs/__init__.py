"""What is done about the stock beside the web process."""

from inventory.jobs import alerts, audits, telling

__all__ = ["alerts", "audits", "telling"]
