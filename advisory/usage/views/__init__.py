"""Pages of the usage app."""
