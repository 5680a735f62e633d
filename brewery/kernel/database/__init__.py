"""What the database itself is told to enforce."""
