"""Reading quantities: strictly from programs, and as people type them on a form."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _

from advisory.common.quantities.units import (
    LONGEST_TEXT,
    TEMPERATURE,
    Dimension,
    QuantityError,
    scale_of,
)


@dataclass(frozen=True)
class Quantity:
    """A value with the unit it came in, and the same in SI (kelvin for a temperature)."""

    value: float
    unit: str
    si: float


_STRICT = re.compile(
    r"(?P<number>[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?)\s*(?P<unit>.*)",
    re.DOTALL,
)
_MINUS, _APOSTROPHE = "\u2212", "\u2019"  # as a word processor writes them
_TYPED = re.compile(
    rf"(?P<number>[+\-{_MINUS}]?\s*[0-9.,][0-9.,/\s'{_APOSTROPHE}]*)(?P<unit>.*)", re.DOTALL
)
_GROUPED = re.compile(r"[0-9]{1,3}(?:(?P<mark>[ .,'])[0-9]{3})(?:(?P=mark)[0-9]{3})*")
_FRACTION = re.compile(r"(?:(?P<whole>[0-9]+)\s+)?(?P<top>[0-9]+)\s*/\s*(?P<bottom>[0-9]+)")
_SPACES = re.compile(r"\s")  # the narrow and the unbreakable ones too


def _shown(text: str) -> str:
    text = text.strip()
    return text if len(text) <= 24 else f"{text[:24]}…"


def _check_length(text: str) -> None:
    if len(text) > LONGEST_TEXT:
        raise QuantityError(
            "too_long",
            _("That is too long for a quantity: at most %(n)d characters.") % {"n": LONGEST_TEXT},
        )


def _finite(number: float) -> float:
    if not math.isfinite(number):
        raise QuantityError("not_finite", _("The number must be finite."))
    return number


def _missing_unit(dimension: Dimension) -> QuantityError:
    return QuantityError(
        "unit_missing",
        _(
            "This is a quantity (%(dimension)s) and needs its unit: write it like “%(example)s” "
            "or {“value”: …, “unit”: …}."
        )
        % {"dimension": dimension.name, "example": dimension.example},
        dimension.name,
    )


def read_quantity(given: object, dimension: Dimension) -> Quantity:
    """Read a quantity as a program writes it.

    Either a string, a number with a decimal point and then its unit, or an object with "value" and
    "unit". Anything else raises QuantityError, which names the dimension that is needed.
    """
    if isinstance(given, str):
        return _read_string(given, dimension)
    if isinstance(given, Mapping):
        return _read_object(given, dimension)
    raise _missing_unit(dimension)


def _read_string(text: str, dimension: Dimension) -> Quantity:
    _check_length(text)
    match = _STRICT.fullmatch(text.strip())
    if match is None:
        raise QuantityError(
            "not_a_quantity",
            _("“%(text)s” is no quantity (%(dimension)s): write it like “%(example)s”.")
            % {"text": _shown(text), "dimension": dimension.name, "example": dimension.example},
            dimension.name,
        )
    number, unit = match["number"], match["unit"].strip()
    if unit.startswith(",") or re.match(r"[0-9.]", unit):
        raise QuantityError(
            "not_a_quantity",
            _("“%(text)s” is not clear: no thousands separators, and a point for the decimals.")
            % {"text": _shown(text)},
            dimension.name,
        )
    if not unit:
        raise _missing_unit(dimension)
    return _quantity(float(number), unit, dimension)


def _read_object(given: Mapping[object, object], dimension: Dimension) -> Quantity:
    value, unit = given.get("value"), given.get("unit")
    if set(given) != {"value", "unit"} or not isinstance(unit, str):
        raise _missing_unit(dimension)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise QuantityError(
            "not_a_number", _("“value” must be a number, not text, true, false or null.")
        )
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    return _quantity(number, unit.strip(), dimension)


def _quantity(number: float, unit: str, dimension: Dimension) -> Quantity:
    _finite(number)
    si = _finite(scale_of(unit, dimension).to_si(number))
    if dimension == TEMPERATURE and si < 0.0:
        raise QuantityError(
            "below_absolute_zero", _("No temperature is below -273.15 degC."), "-273.15 degC"
        )
    return Quantity(number, unit, si)


def read_number(text: str, *, whole: bool = False) -> float:
    """Read a number as a person types it, with a decimal point or a decimal comma.

    "0,08" has a decimal comma and "12,345.6" a comma between thousands; "1,234" may be either, and
    so it is a question and not an answer. Where only a whole number can be meant (`whole`), it is
    1234. Fractions of an inch are understood: "1 1/2".
    """
    _check_length(text)
    tidy = _SPACES.sub(" ", text.strip()).replace(_MINUS, "-").replace(_APOSTROPHE, "'")
    sign = -1.0 if tidy.startswith("-") else 1.0
    digits = tidy.lstrip("+-").strip()
    unclear = QuantityError(
        "not_a_number", _("“%(text)s” is not a number.") % {"text": _shown(text)}
    )
    if len(tidy) - len(tidy.lstrip("+-")) > 1 or not re.search(r"[0-9]", digits):
        raise unclear
    if fraction := _FRACTION.fullmatch(digits):
        bottom = int(fraction["bottom"])
        if bottom == 0 or whole:
            raise unclear
        return sign * (int(fraction["whole"] or 0) + int(fraction["top"]) / bottom)
    plain = _plain(digits, whole=whole)
    if re.fullmatch(r"[0-9]+(\.[0-9]*)?|\.[0-9]+", plain) is None:
        raise unclear
    number = _finite(float(plain))
    if whole and number != int(number):
        raise QuantityError("not_whole", _("A whole number is needed."))
    return sign * number


def _plain(digits: str, *, whole: bool) -> str:
    """Take out the marks between thousands, and make the decimal mark a point."""
    marks = [mark for mark in ".," if mark in digits]
    if len(marks) == 2:
        decimal = max(marks, key=digits.rfind)
        before, _mark, after = digits.rpartition(decimal)
        if _GROUPED.fullmatch(before) is None or decimal in before:
            return "?"
        return re.sub(r"[ .,']", "", before) + "." + after
    whole_part, mark, rest = digits.partition(marks[0]) if marks else (digits, "", "")
    if marks and digits.count(mark) > 1:
        return re.sub(r"[ .,']", "", digits) if _GROUPED.fullmatch(digits) else "?"
    if re.search(r"[ ']", whole_part):
        if _GROUPED.fullmatch(whole_part) is None:
            return "?"
        whole_part = re.sub(r"[ ']", "", whole_part)
    if mark == "," or (mark and whole):
        grouped = re.fullmatch(r"[1-9][0-9]{0,2}", whole_part) and re.fullmatch(r"[0-9]{3}", rest)
        if grouped and whole:
            return whole_part + rest
        if grouped:
            raise QuantityError(
                "ambiguous_number",
                _(
                    "“%(text)s” can mean %(thousands)s or %(decimal)s: "
                    "write it without the comma, or with a point."
                )
                % {
                    "text": _shown(digits),
                    "thousands": whole_part + rest,
                    "decimal": f"{whole_part}.{rest}",
                },
            )
    return f"{whole_part}.{rest}" if mark else whole_part


def read_typed(text: str, dimension: Dimension, default_unit: str) -> Quantity:
    """Read a quantity as a person types it; without a unit it is in the field's own.

    The number may be written as `read_number` has it, and the unit in any spelling known here.
    """
    _check_length(text)
    match = _TYPED.fullmatch(text.strip())
    if match is None:
        raise QuantityError(
            "not_a_quantity",
            _("“%(text)s” is no quantity (%(dimension)s): write it like “%(example)s”.")
            % {"text": _shown(text), "dimension": dimension.name, "example": dimension.example},
            dimension.name,
        )
    unit = match["unit"].strip() or default_unit
    return _quantity(read_number(match["number"]), unit, dimension)
