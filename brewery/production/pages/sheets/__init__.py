"""The pages of brew sheets."""
