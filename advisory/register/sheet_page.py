"""A build sheet as its page shows it: each place with what is said of it, figures in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from advisory.common.errors import Question, Refused
from advisory.common.quantities import Preferences
from advisory.people.models import Person
from advisory.register.actions import Typed, WrittenByOther
from advisory.register.sheet import Place, PositionSheet, Sheet
from advisory.register.sheet_fields import Entry, Group
from advisory.register.sheet_reading import UnitQuestion
from advisory.register.words import Told, derived_in_words, undersizes_in_words


@dataclass(frozen=True)
class Answer:
    """A button by a question: what it does, and the text that it puts into the place."""

    does: str
    words: str
    text: str = ""


@dataclass(frozen=True)
class Cell:
    """One place on the page."""

    place: Place
    text: str
    error: str = ""
    answers: tuple[Answer, ...] = ()
    confirmed: bool = False
    # who else wrote what stands here
    by_other: str = ""
    unit: str = ""
    # what stands there on the sheet, as the page shows it
    was: str = ""

    @property
    def is_short(self) -> bool:
        """Whether a figure is typed here."""
        return self.place.field.entry not in (
            Entry.LINE, Entry.WORDS, Entry.GRID, Entry.AROUND, Entry.CHOICE,
        )  # fmt: skip

    @property
    def is_in_path(self) -> bool:
        """Whether it lies in the path of the measuring."""
        return self.place.field.group is Group.MEASURED

    @property
    def control(self) -> str:
        """What kind of control it is."""
        entry = self.place.field.entry
        return {
            Entry.CHOICE: "select", Entry.WORDS: "area", Entry.GRID: "area", Entry.DAY: "date",
        }.get(entry, "line")  # fmt: skip


@dataclass(frozen=True)
class PositionOnPage:
    """One position on the page."""

    sheet: PositionSheet
    measured: list[Cell]
    sleeve: list[Cell]
    more: list[Cell]
    told: list[Told]
    opens: bool


@dataclass(frozen=True)
class SheetOnPage:
    """A sheet on its page."""

    sheet: Sheet
    head: list[Cell]
    head_more: list[Cell]
    positions: list[PositionOnPage]
    undersizes: str
    # the places with something to put right, for the top of the page
    wrong: list[Cell]


def on_page(
    sheet: Sheet,
    reader: Person,
    prefs: Preferences,
    typed: Mapping[str, Typed] | None = None,
    refusals: Mapping[str, Refused] | None = None,
) -> SheetOnPage:
    """Lay a sheet out for a reader; with what was typed and refused, where a page came back."""
    cells = {
        place.key: cell_of(
            place, reader, prefs, (typed or {}).get(place.key), (refusals or {}).get(place.key)
        )
        for place in sheet.places()
    }
    for place, words in sheet.faults:
        cell = cells[place.key]
        if not cell.error:
            cells[place.key] = replace(cell, error=words)
    return SheetOnPage(
        sheet=sheet,
        head=[cells[one.key] for one in sheet.head if one.field.group is Group.MEASURED],
        head_more=[cells[one.key] for one in sheet.head if one.field.group is Group.MORE],
        positions=[_position(one, cells, prefs) for one in sheet.positions],
        undersizes=undersizes_in_words(sheet.undersizes, prefs),
        wrong=[cell for cell in cells.values() if cell.error],
    )


def cell_of(
    place: Place,
    reader: Person,
    prefs: Preferences,
    typed: Typed | None = None,
    refusal: Refused | None = None,
) -> Cell:
    """Lay one place out."""
    entry = place.entry
    other = ""
    if entry is not None and entry.by_id != reader.pk and entry.text:
        other = _("%(who)s wrote this.") % {"who": entry.by or _("Somebody else")}
    error = refusal.message if refusal else place.doubt if typed is None else ""
    unit = _unit(place, prefs)
    was = place.text.removesuffix(f" {unit}") if unit else place.text
    return Cell(
        place=place,
        text=typed.text if typed is not None else was,
        error=error,
        answers=tuple(_answers(place, refusal)) if error else (),
        confirmed=typed.confirm if typed is not None else False,
        by_other=other,
        unit=unit,
        was=was,
    )


def _position(one: PositionSheet, cells: Mapping[str, Cell], prefs: Preferences) -> PositionOnPage:
    groups = {group: [cells[place.key] for place in one.group(group)] for group in Group}
    aside = [*groups[Group.SLEEVE], *groups[Group.MORE]]
    return PositionOnPage(
        sheet=one,
        measured=groups[Group.MEASURED],
        sleeve=groups[Group.SLEEVE],
        more=groups[Group.MORE],
        told=[derived_in_words(figure, prefs) for figure in one.derived],
        opens=any(cell.text or cell.error for cell in aside),
    )


def _answers(place: Place, refusal: Refused | None) -> Iterable[Answer]:
    if isinstance(refusal, WrittenByOther):
        yield Answer("over", _("Mine is right"))
        yield Answer("theirs", _("Theirs is right"), refusal.theirs.text)
        return
    meant = refusal.meant if isinstance(refusal, UnitQuestion) else ""
    if refusal is None and place.entry is not None:
        meant = place.entry.meant
    if meant:
        yield Answer("mean", _("Yes, %(meant)s") % {"meant": meant}, meant)
        yield Answer("right", _("No, as I typed it"))
    elif isinstance(refusal, Question):
        yield Answer("right", _("It is right"))


def _unit(place: Place, prefs: Preferences) -> str:
    """Name the unit that a bare figure is in."""
    small = prefs.small_length
    size = _("inch") if small == "thou" else _("mm")
    return {
        Entry.SIZE: size,
        Entry.PLAIN_SIZE: size,
        Entry.SMALL: small,
        Entry.OFF: small,
    }.get(place.field.entry, "")
