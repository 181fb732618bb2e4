"""Forms of the plans app."""
