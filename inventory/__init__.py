"""What is held and where: materials, parties, locations, lots, and the ledger that only ever grows."""
