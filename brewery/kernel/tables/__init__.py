"""Tables that people hand over as CSV: read cell by cell, with all that is wrong told by line and column."""
