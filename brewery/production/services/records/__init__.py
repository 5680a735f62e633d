"""Records that people hand over as CSV files: read, understood, and written through the services, all or nothing."""
