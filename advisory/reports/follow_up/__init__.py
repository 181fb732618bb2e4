"""The units of a workshop that need a word, and why."""
