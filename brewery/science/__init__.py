"""Pure brewing arithmetic: numbers in, numbers out, with no database in sight."""
