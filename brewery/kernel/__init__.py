"""What every room stands on: errors, clock, people and rights, request ids, database rules. Nothing of the trade."""
