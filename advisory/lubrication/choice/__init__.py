"""The choice of a unit's oil: what is known, what is judged, and how it is shown."""
