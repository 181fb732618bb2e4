"""All calculators by their names; each app declares its own in its `calculators` module."""

from django.utils.translation import gettext as _

from advisory.common.calculation.calculator import CalculationRefused, Calculator
from advisory.common.problems import problem

_CALCULATORS: dict[str, Calculator] = {}


def register(calculator: Calculator) -> Calculator:
    """Make a calculator known; a name can be taken only once."""
    if calculator.name in _CALCULATORS:
        raise ValueError(f"There are two calculators named {calculator.name}")
    _CALCULATORS[calculator.name] = calculator
    return calculator


def names() -> list[str]:
    """Return the names of all calculators, in order."""
    return sorted(_CALCULATORS)


def get(name: str) -> Calculator:
    """Return a calculator by its name, or raise CalculationRefused."""
    if name not in _CALCULATORS:
        raise CalculationRefused(
            problem(
                "unknown-calculator",
                _("No such calculator"),
                _("There is no calculator “%(name)s”. There are: %(names)s.")
                % {"name": name[:64], "names": ", ".join(names())},
                status=404,
            )
        )
    return _CALCULATORS[name]
