"""The pages of pallets."""
