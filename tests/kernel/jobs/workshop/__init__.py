"""An app of test jobs and the settings to run them under, for tests that start worker, beat or runner."""
