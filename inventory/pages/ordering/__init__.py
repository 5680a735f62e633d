"""The pages of what is to be ordered: contracts and drafts."""
