"""Pages of the people app."""
