"""Template tags of the findings app."""
