"""A whole build sheet at once, as it is typed on its page."""

from collections.abc import Mapping
from dataclasses import dataclass

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common.errors import Question, Refused
from advisory.people.models import Person
from advisory.register.actions.drafts import still_written
from advisory.register.actions.entries import require_no_clash, write_entry
from advisory.register.models import Build
from advisory.register.sheet import Place, key_of, sheet_of


@dataclass(frozen=True, kw_only=True)
class Typed:
    """What stands in one place of a sheet's page when it is sent."""

    text: str
    # the edition that the page had shown, and what stood there then
    seen: int | None = None
    was: str | None = None
    confirm: bool = False
    over: bool = False


class SheetRefused(Refused):
    """Some places of a sheet can't be kept; `refusals` says of each why, by its key."""

    def __init__(self, refusals: Mapping[str, Refused]) -> None:
        super().__init__(
            _("Nothing was kept yet. Put the marked figures right."), code="figures_refused"
        )
        self.refusals = dict(refusals)

    @property
    def only_asks(self) -> bool:
        """Whether all that is needed is a word that the figures are right."""
        return all(isinstance(refusal, Question) for refusal in self.refusals.values())


@transaction.atomic
def fill_sheet(*, build: Build, by: Person, typed: Mapping[str, Typed]) -> Build:
    """Write all that was typed on a sheet's page, by the key of its place, or nothing of it.

    Places that are not named stay as they are.

    Raises
    ------
    SheetRefused
        With what is to be said at each place.
    Refused
        For a sheet that is signed.
    """
    build = still_written(build, by)
    refusals: dict[str, Refused] = {}
    touched = {}
    for place in sheet_of(build).places():
        told = typed.get(place.key)
        if told is None or _says_nothing(told, place):
            continue
        try:
            write_entry(
                build=build,
                by=by,
                position=place.position,
                name=place.field.name,
                text=told.text,
                seen=told.seen,
                confirm=told.confirm,
                over=told.over,
            )
        except Refused as refusal:
            refusals[place.key] = refusal
        else:
            if place.position is not None and place.position.planes:
                touched[place.position.pk] = place.position
    for position in touched.values():
        try:
            require_no_clash(build, position)
        except Refused as refusal:
            refusals.setdefault(key_of(position.pk, refusal.field or ""), refusal)
    if refusals:
        raise SheetRefused(refusals)
    build.refresh_from_db()
    return build


def _says_nothing(told: Typed, place: Place) -> bool:
    """Say whether a page sent back what it had shown, or what stands there anyway."""
    if told.confirm or told.over:
        return False
    return told.text == told.was or told.text.strip() == place.text
