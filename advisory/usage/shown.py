"""Numbers of odometers, under the name by which the apps above know them."""

from advisory.register.shown import NotANumber, in_figures, read_shown

__all__ = ["NotANumber", "in_figures", "read_shown"]
