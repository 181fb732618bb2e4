"""A finding as its reader sees it: what was found, how urgent, whose turn, what was said."""

from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.common.quantities import Preferences
from advisory.findings.enums import FindingState, Instruction, Said
from advisory.findings.instructions import TOLD
from advisory.findings.judgement import HeldAgainst, Verdict, judge
from advisory.findings.models import Answer, AskedMeasurement, Finding, FindingPhoto, Way
from advisory.findings.queries import came_back, held_against, off_of, quantity_at
from advisory.findings.urgency import urgency_of
from advisory.findings.words import InWords, small, verdict_in_words
from advisory.people.models import Person
from advisory.people.preferences import preferences_of
from advisory.register.enums import MeasuredQuantity


@dataclass(frozen=True)
class InstructionShown:
    """What the workshop told the owner to do, with its caution."""

    words: str
    caution: str
    stop: bool


@dataclass(frozen=True)
class AskedShown:
    """A measurement that was asked for, and what came of it."""

    pk: int
    place: str
    what: str
    how: str
    held: str
    figure: str | None
    said: InWords | None


@dataclass(frozen=True)
class WayShown:
    """A way to put it right, in words."""

    pk: int
    text: str
    part: str
    price: str | None
    time: str
    picked: bool


@dataclass(frozen=True)
class SaidShown:
    """One word of either side."""

    who: str
    at: datetime
    kind: str
    text: str
    of_the_owner: bool
    instruction: InstructionShown | None = None
    asked: AskedShown | None = None
    brought: AskedShown | None = None
    picked: WayShown | None = None
    ways: list[WayShown] = field(default_factory=list)
    photos: list[dict[str, str]] = field(default_factory=list)


def finding_shown(row: Finding, by: Person) -> dict[str, Any]:
    """Return what a finding shows to a person who may see it."""
    prefs = preferences_of(by)
    verdict, against = verdict_of(row)
    photos = list(row.photos.all())
    words = list(
        row.answers.select_related(
            "by",
            "asked__position",
            "asked__value",
            "measured__position",
            "measured__value",
            "picked",
        ).prefetch_related("ways", "photos")
    )
    said = [_said(word, row, prefs) for word in words]
    asked = [word.asked for word in words if hasattr(word, "asked")]
    again = came_back(row)
    last_ways = next((one.ways for one in reversed(said) if one.ways), [])
    return {
        "verdict": verdict_in_words(verdict, row.value, against, prefs, row.mark),
        "figures": _figures(row, against, prefs) if row.value is not None else [],
        "photos": [_photo(photo, row, n) for n, photo in enumerate(photos, 1)
                   if photo.answer_id is None],
        "urgent": urgency_of(row, asked=asked, again=again),
        "said": said,
        "open_asked": [one.asked for one in said if one.asked and one.asked.figure is None],
        "last_ways": last_ways,
        "last_word": next((one for one in reversed(said) if not one.of_the_owner), None),
        "instruction": instruction_shown(row.instruction),
    }  # fmt: skip


def verdict_of(row: Finding) -> tuple[Verdict, HeldAgainst]:
    """Return what a finding's figure and mark say, and against what they were held."""
    against = HeldAgainst()
    if row.position is not None and row.quantity:
        against = held_against(row.unit, row.position, row.quantity)
    return judge(row.value, row.quantity, against, row.mark, off_of(row)), against


def instruction_shown(instruction: str) -> InstructionShown | None:
    """Return an instruction with its caution; None where there is none."""
    if not instruction:
        return None
    told = TOLD[Instruction(instruction)]
    return InstructionShown(str(Instruction(instruction).label), str(told.caution), told.stop)


def _figures(row: Finding, against: HeldAgainst, prefs: Preferences) -> list[dict[str, Any]]:
    return [
        {
            "label": row.get_quantity_display(),
            "value": small(row.value, prefs),
            "source": _("typed as %(typed)s") % {"typed": row.as_typed},
        },
        {
            "label": _("As built"),
            "value": small(against.as_built, prefs),
            "source": _("from the signed build record") if against.as_built is not None else "",
        },
        {"label": _("Look into it above"), "value": small(against.look_into_above, prefs)},
        {"label": _("Limit"), "value": small(against.wear_limit, prefs)},
    ]


def _said(word: Answer, row: Finding, prefs: Preferences) -> SaidShown:
    brought: AskedMeasurement | None = getattr(word, "measured", None)
    asked: AskedMeasurement | None = getattr(word, "asked", None)
    picked: Way | None = getattr(word, "picked", None)
    return SaidShown(
        who=_who(word, row),
        at=word.at,
        kind=str(word.get_kind_display()),
        text=_text(word, row),
        of_the_owner=word.of_the_owner,
        instruction=instruction_shown(word.instruction),
        asked=None if asked is None else _asked(asked, row, prefs),
        brought=None if brought is None else _asked(brought, row, prefs),
        picked=None if picked is None else way_shown(picked, row),
        ways=[way_shown(way, row) for way in word.ways.all()],
        photos=[_photo(photo, row, number) for number, photo in enumerate(word.photos.all(), 1)],
    )


def _who(word: Answer, row: Finding) -> str:
    if word.of_the_owner:
        return str(word.by) if word.by is not None else _("A former owner")
    workshop = row.unit.workshop
    if word.by is None or workshop is None:
        return str(word.by or workshop or _("The workshop"))
    if word.kind == Said.CLOSED and word.by_id == row.unit.owner_id:
        return str(word.by)
    return _("%(who)s, %(workshop)s") % {"who": word.by, "workshop": workshop}


def _text(word: Answer, row: Finding) -> str:
    if word.of_the_owner and word.by_id is None and not word.text:
        return _("What a former owner wrote is not kept.")
    if word.kind == Said.CLOSED and row.state == FindingState.CLOSED:
        return _("Cause: %(cause)s.\n\n%(found)s") % {
            "cause": row.get_cause_display(),
            "found": word.text,
        }
    return word.text


def _asked(asked: AskedMeasurement, row: Finding, prefs: Preferences) -> AskedShown:
    quantity = quantity_at(asked.position)
    against = held_against(row.unit, asked.position, quantity)
    said = None
    if asked.value is not None:
        verdict = judge(asked.value.value, quantity, against, "", asked.value.uncertainty)
        said = verdict_in_words(verdict, asked.value.value, against, prefs)
    limits = []
    if against.look_into_above is not None:
        limits.append(_("ask above %(size)s") % {"size": small(against.look_into_above, prefs)})
    if against.wear_limit is not None:
        limits.append(_("stop at %(size)s") % {"size": small(against.wear_limit, prefs)})
    return AskedShown(
        pk=asked.pk,
        place=str(asked.position),
        what=str(MeasuredQuantity(quantity).label) if quantity else "",
        how=asked.how,
        held=", ".join(limits),
        figure=None if asked.value is None else small(asked.value.value, prefs),
        said=said,
    )


def asked_shown(asked: AskedMeasurement, by: Person) -> AskedShown:
    """Put a measurement that is asked for in a person's words."""
    return _asked(asked, asked.answer.finding, preferences_of(by))


def way_shown(way: Way, row: Finding) -> WayShown:
    """Put a way in words; its price is left out where it was told to a former owner."""
    price = None
    if way.price is not None:
        price = f"{way.currency} {way.price:,.2f}"
    return WayShown(
        pk=way.pk,
        text=way.text,
        part=str(way.get_part_display()),
        price=price,
        time=ngettext("%(n)d day in the workshop", "%(n)d days in the workshop", way.days)
        % {"n": way.days},
        picked=way.pk == row.agreed_id,
    )


def _photo(photo: FindingPhoto, row: Finding, number: int) -> dict[str, str]:
    return {
        "url": reverse("findings:photo", args=[photo.pk]),
        "alt": _("Photo %(number)d: %(where)s")
        % {"number": number, "where": row.position or row.unit},
    }
