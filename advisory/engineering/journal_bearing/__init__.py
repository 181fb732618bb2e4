"""The steadily loaded journal bearing."""
