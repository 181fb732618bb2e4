"""The computation: pure Python, numpy and scipy. No Django, no database, no clock, no I/O."""
