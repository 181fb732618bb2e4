"""Which column is which, by its heading; where that is unclear, the person says."""

import re
from collections.abc import Mapping, Sequence

from django.db.models import TextChoices
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.csv_files.text import FileRefused


class Column(TextChoices):
    """What a logbook's columns hold."""

    DATE = "date", gettext_lazy("Date")
    READING = "reading", gettext_lazy("Odometer reading")
    NOTE = "note", gettext_lazy("Note")


NEEDED = (Column.DATE, Column.READING)

# Common English headings, the clearest first. Bare "miles" or "km" are not among them: in many
# logbooks that is the length of a trip.
HEADINGS: dict[Column, tuple[frozenset[str], ...]] = {
    Column.DATE: (
        frozenset({"date", "day", "date of reading", "reading date", "entry date", "log date"}),
        frozenset({"when", "date read", "on"}),
    ),
    Column.READING: (
        frozenset(
            {"odometer", "odometer reading", "odo", "odo reading", "odometer end", "mileometer",
             "milometer", "milometer reading", "mileometer reading"}
        ),
        frozenset(
            {"reading", "mileage", "total miles", "total mileage", "total km", "total distance",
             "speedometer", "speedo", "clock", "mileage reading", "meter reading", "counter"}
        ),
    ),
    Column.NOTE: (
        frozenset({"note", "notes", "remark", "remarks", "comment", "comments"}),
        frozenset({"description", "details", "work", "work done", "purpose", "route"}),
    ),
}  # fmt: skip
_UNITS = {"mile": r"\b(?:mi|miles?)\b", "km": r"\b(?:kms?|kilomet(?:re|er)s?)\b"}
_NOT_WORDS = re.compile(r"[\s_.:/*-]+")


def plain(heading: str) -> str:
    """Return a heading without capitals, marks and the unit behind it."""
    words = _NOT_WORDS.sub(" ", re.sub(r"[(\[].*?[)\]]", " ", heading.casefold())).strip()
    if words.startswith(("odo", "milo", "mileo")):
        words = re.sub(r" (?:in )?(?:miles?|mi|kms?|kilomet(?:re|er)s)$", "", words)
    return words


def unit_in(words: str) -> str | None:
    """Return the unit that a heading or a cell names: "mile", "km" or None."""
    found = [unit for unit, pattern in _UNITS.items() if re.search(pattern, words.casefold())]
    return found[0] if len(found) == 1 else None


def named_columns(headings: Sequence[str]) -> dict[Column, int]:
    """Return the columns whose headings say clearly what they hold."""
    words = [plain(heading) for heading in headings]
    found: dict[Column, int] = {}
    for column, ranks in HEADINGS.items():
        for names in ranks:
            places = [place for place, heading in enumerate(words) if heading in names]
            if places:
                # two of the same rank are unclear, except for notes, where the first will do
                if len(places) == 1 or column is Column.NOTE:
                    found[column] = places[0]
                break
    return found


def chosen_columns(headings: Sequence[str], chosen: Mapping[Column, str]) -> dict[Column, int]:
    """Return the places of columns that a person named; an empty name is no column.

    Raises
    ------
    FileRefused
        For a column that isn't there, and for one column named twice.
    """
    found: dict[Column, int] = {}
    for column, name in chosen.items():
        if not name:
            continue
        same = [place for place, heading in enumerate(headings)
                if heading.casefold() == name.strip().casefold()]  # fmt: skip
        if len(same) != 1 and name.strip().isdecimal() and 1 <= int(name) <= len(headings):
            same = [int(name) - 1]
        if len(same) != 1:
            raise FileRefused(
                "no_such_column",
                _("There is no column “%(name)s”. The columns are: %(headings)s.")
                % {"name": name, "headings": ", ".join(headings)},
            )
        found[column] = same[0]
    if len(set(found.values())) < len(found):
        raise FileRefused("column_twice", _("One column cannot hold two things. Choose another."))
    return found
