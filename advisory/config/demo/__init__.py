"""The demo scenario: an invented club, loaded through the same actions as real data."""

from advisory.config.demo.due import due_table
from advisory.config.demo.scenario import SIGN_INS, load_scenario

__all__ = ["SIGN_INS", "due_table", "load_scenario"]
