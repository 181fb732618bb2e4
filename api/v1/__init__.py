"""Version 1 of the API: one module a topic, each calling the same actions as the pages."""
