"""The pages of dispatch: orders, picking, shipments, returns, customers."""
