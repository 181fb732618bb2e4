"""A guided inspection: its steps from a unit's design and what is due, and their words."""
