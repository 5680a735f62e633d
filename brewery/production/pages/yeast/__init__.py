"""The pages of yeast: what is on hand, each strain and culture with its lineage, the pitch, the harvest, discarding."""
