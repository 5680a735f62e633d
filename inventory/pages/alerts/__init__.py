"""Alerts: what people must know or do, in one list, and each on a page of its own."""
