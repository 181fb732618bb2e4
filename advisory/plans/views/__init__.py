"""Pages of the plans app."""
