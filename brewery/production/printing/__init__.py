"""What production prints on paper."""
