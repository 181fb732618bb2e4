"""How Hypothesis runs here: the same cases each time, and no clock on a busy machine."""

from hypothesis import settings

settings.register_profile("engineering", deadline=None, derandomize=True, max_examples=60)
settings.load_profile("engineering")
