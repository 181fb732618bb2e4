"""Pages of the findings app."""
