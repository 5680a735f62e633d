"""The pages of how long things keep."""
