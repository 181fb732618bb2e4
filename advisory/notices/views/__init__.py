"""Pages of the notices app."""
