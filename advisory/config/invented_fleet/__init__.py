"""An invented fleet of any size, written through bulk paths; nothing of it is real."""

from advisory.config.invented_fleet.bulk import in_bulk, made_in_bulk
from advisory.config.invented_fleet.fleet import CARS_AT_ONCE, Fleet, make_fleet

__all__ = ["CARS_AT_ONCE", "Fleet", "in_bulk", "made_in_bulk", "make_fleet"]
