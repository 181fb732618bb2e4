"""The one error that a relation raises when an argument lies where the relation does not hold."""

from __future__ import annotations

from typing import Any


class OutOfRange(ValueError):
    """An argument lies outside the range in which a relation holds.

    Parameters
    ----------
    argument : str
        Name of the argument, as the function spells it.
    limit : str
        The limit in words and SI units, for example ``"above 0 m3"`` or ``"-40 to 150 degC"``.
    value : float or array_like or str
        The value given; of an array, the first value that is out of range.
    message : str, optional
        A whole sentence for a person. Made from the other three where it is left out.

    Examples
    --------
    >>> raise OutOfRange("sump_volume", "above 0 m3", -1.0)
    Traceback (most recent call last):
    ...
    advisory.engineering.errors.OutOfRange: sump_volume must be above 0 m3, not -1.0.
    """

    def __init__(self, argument: str, limit: str, value: Any, message: str = "") -> None:
        self.argument = argument
        self.limit = limit
        self.value = value
        self.message = message or f"{argument} must be {limit}, not {value}."
        super().__init__(self.message)

    def __reduce__(self) -> tuple[type[OutOfRange], tuple[str, str, Any, str]]:
        return (type(self), (self.argument, self.limit, self.value, self.message))
