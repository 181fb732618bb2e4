"""Writing in one place of a build sheet: kept at once, and never over what another wrote."""

from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.people.clock import require_past_day
from advisory.people.models import Person
from advisory.register.actions.drafts import still_written
from advisory.register.actions.reckoned import keep_figures
from advisory.register.models import Build, Position, SheetEntry
from advisory.register.sheet import design_of, sheet_of, too_tight_words
from advisory.register.sheet_fields import YES, SheetField, field_at
from advisory.register.sheet_reading import LONGEST_WORDS, Read, UnitQuestion, read_entry


class WrittenByOther(Refused):
    """Somebody else wrote here since; `theirs` is what stands."""

    def __init__(self, theirs: SheetEntry, field: str) -> None:
        super().__init__(
            _("%(who)s wrote “%(text)s” here meanwhile. Which of the two is right?")
            % {"who": theirs.by or _("Somebody"), "text": theirs.text or _("nothing")},
            field=field,
            code="written_by_other",
        )
        self.theirs = theirs


@dataclass(frozen=True, kw_only=True)
class Written:
    """What came of writing in one place."""

    entry: SheetEntry | None
    # why it is not believed; kept all the same, so that nothing typed is lost
    refusal: Refused | None = None


@transaction.atomic
def write_entry(
    *,
    build: Build,
    by: Person,
    name: str,
    text: str,
    position: Position | None = None,
    seen: int | None = None,
    confirm: bool = False,
    over: bool = False,
    keeps_doubtful: bool = False,
) -> Written:
    """Write in one place of a sheet, as it is typed; nothing typed clears it.

    `seen` is the edition that the writer had before them: if somebody else wrote since, nothing is
    written unless the writer says that theirs goes over it (`over`). `keeps_doubtful` keeps what
    makes no sense too, marked as such; it counts for nothing until it is put right.

    Raises
    ------
    WrittenByOther
        If somebody else wrote there meanwhile.
    Refused
        For a place that the sheet does not have; and, unless it is kept as doubtful, for what makes
        no sense there (`Question` for what is hard to believe).
    """
    build = still_written(build, by)
    field = _field(build, position, name)
    there = build.entries.select_related("by").filter(position=position, name=name).first()
    if there is not None and there.text == text.strip() and not (there.doubt and confirm):
        return Written(entry=there, refusal=_doubt_of(there))
    refusal: Refused | None = None
    try:
        read = _read(field, text, by, position, confirm)
    except Refused as refused:
        refusal, read = refused, Read(text.strip()[:LONGEST_WORDS])
    if there is not None and refusal is None and there.text == read.text and not there.doubt:
        return Written(entry=there)
    _require_seen(there, by, seen, over, name)
    if refusal is not None and not keeps_doubtful:
        raise refusal
    if there is None and not read.text:
        return Written(entry=None, refusal=refusal)
    entry = _keep(there, build, by, position, name, read, refusal)
    if refusal is None and position is None:
        _to_the_head(build, name, read)
    keep_figures(build, position)
    audit.record("write_entry", build, by=by, position=position.pk if position else None,
                 name=name, text=read.text[:200], doubtful=refusal is not None)  # fmt: skip
    return Written(entry=entry, refusal=refusal)


def require_no_clash(build: Build, position: Position) -> None:
    """Refuse a bore that is smaller than its journal.

    Raises
    ------
    Refused
        At the size that was written last.
    """
    there = sheet_of(build).at(position)
    if there.is_too_tight and there.last_size is not None:
        raise Refused(too_tight_words(), field=there.last_size.field.name, code="too_tight")


def _field(build: Build, position: Position | None, name: str) -> SheetField:
    if position is not None and position.design_id != design_of(build).pk:
        raise Refused(_("This unit has no such position."), field="position")
    field = field_at(position, name)
    if field is None:
        raise Refused(_("Nothing of this name stands on the sheet."), field="name")
    return field


def _require_seen(
    there: SheetEntry | None, by: Person, seen: int | None, over: bool, name: str
) -> None:
    if seen is None or over or there is None or there.edition == seen or there.by_id == by.pk:
        return
    raise WrittenByOther(there, name)


def _read(
    field: SheetField, text: str, by: Person, position: Position | None, confirm: bool
) -> Read:
    read = read_entry(field, text, by=by, position=position, confirm=confirm)
    if field.name == "built_on":
        if not read.text:
            raise Refused(_("Enter the day."), field=field.name)
        require_past_day(date.fromisoformat(read.text), by=by, field=field.name)
    return read


def _keep(
    there: SheetEntry | None,
    build: Build,
    by: Person,
    position: Position | None,
    name: str,
    read: Read,
    refusal: Refused | None,
) -> SheetEntry:
    entry = there or SheetEntry(build=build, position=position, name=name, edition=0)
    entry.text, entry.value = read.text, read.value
    entry.doubt = refusal.message[:300] if refusal else ""
    entry.meant = refusal.meant if isinstance(refusal, UnitQuestion) else ""
    entry.by, entry.at, entry.edition = by, timezone.now(), entry.edition + 1
    entry.save()
    return entry


def _doubt_of(entry: SheetEntry) -> Refused | None:
    if not entry.doubt:
        return None
    if entry.meant:
        return UnitQuestion(entry.doubt, meant=entry.meant, field=entry.name)
    return Refused(entry.doubt, field=entry.name)


def _to_the_head(build: Build, name: str, read: Read) -> None:
    """Write to the build's own columns what of its head stands there for everybody to read."""
    if name == "built_on":
        build.built_on = date.fromisoformat(read.text)
    elif name == "new_white_metal":
        build.new_white_metal = read.text == YES
    elif name == "notes":
        build.notes = read.text
    else:
        return
    build.save(update_fields=[name])
