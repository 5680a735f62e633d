"""Sheets to be printed of what the record answers."""
