"""The brew day on a tablet with wet hands: what to draw, what was drawn, and the log."""
