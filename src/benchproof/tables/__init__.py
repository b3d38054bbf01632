"""Data tables, each row with its source, and their loaders."""
