"""The filling hall on a tablet with wet hands: packaging runs and their fills."""
