"""The cautions of all work; they stand in `common`, as inspections show them too."""

from advisory.common.cautions import AFTER_WORK, CAUTIONS, Caution

__all__ = ["AFTER_WORK", "CAUTIONS", "Caution"]
