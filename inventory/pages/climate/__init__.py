"""The pages of how warm places are."""
