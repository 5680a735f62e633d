"""Calls: what each kind of record asks of which service. A module for each group of kinds."""
