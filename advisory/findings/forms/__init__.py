"""Forms of the findings app."""
