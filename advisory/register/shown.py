"""Reading the number on an odometer as somebody writes it down."""

import re

from django.utils.translation import gettext as _

from advisory.common.quantities import number_in_words

# Narrow and unbreakable spaces, and the apostrophes of word processors, come out of spreadsheets.
_SPACES = re.compile(r"[\s\u00a0\u2007\u2009\u202f]+")
_APOSTROPHES = re.compile("[\u2019\u02bc\u00b4`]")
# 12345 or 12 345, 12,345, 12.345, 12'345, and after it tenths: one figure, with the other mark
_WHOLE = r"(?:\d{1,3}(?:(?P<mark>[ ,.'])\d{3})(?:(?P=mark)\d{3})*|\d+)"
_NUMBER = re.compile(rf"(?P<whole>{_WHOLE})(?:(?P<point>[.,])(?P<tenths>\d))?")
_LONGEST = 40


class NotANumber(ValueError):
    """What was written is no number that an odometer can show; `message` says what to write."""

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


def read_shown(text: str) -> int:
    """Return the whole counts; tenths are left out, marks between thousands are understood.

    Raises
    ------
    NotANumber
        For anything else, and for a number below nought.
    """
    tidy = _APOSTROPHES.sub("'", _SPACES.sub(" ", text)).strip()
    if not tidy:
        raise NotANumber(_("Enter the number as the odometer shows it."))
    if re.match("[-\u2212\u2013]\\s*[0-9]", tidy):
        raise NotANumber(_("An odometer never shows less than nought. Enter the number it shows."))
    match = _NUMBER.fullmatch(tidy) if len(tidy) <= _LONGEST else None
    if match is None or (match["point"] and match["point"] == match["mark"]):
        raise NotANumber(
            _("“%(text)s” is not a number. Enter only the figures that the odometer shows.")
            % {"text": tidy if len(tidy) <= 20 else f"{tidy[:20]}…"}
        )
    return int(re.sub(r"\D", "", match["whole"]))


def in_figures(shown: int) -> str:
    """Write a number of an odometer for a person."""
    return number_in_words(shown, 0)
