"""The letter to an owner: what stood when it was written and still does, and the way to answer."""

from dataclasses import replace
from datetime import datetime

from advisory.notices.enums import FollowReason
from advisory.notices.letters import Letter, Withheld
from advisory.notices.letters.letter import FINDINGS, letter_to, link
from advisory.notices.models import Mail
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.enums import ConsentScope
from advisory.register.models import Unit
from advisory.reports.follow_up.standing import Standing, standing_of
from advisory.reports.follow_up.words import subject_words, to_the_owner


def follow_up_letter(mail: Mail, now: datetime) -> Letter | Withheld:
    """Return the letter, if its reader still owns the unit and lets the workshop see it."""
    rows = list(mail.follow_ups.select_related("unit__design", "unit__workshop"))
    person = mail.person
    if not rows or person is None:
        return Withheld("What it told of is gone.")
    unit = rows[0].unit
    workshop = unit.workshop
    if unit.owner_id != person.pk or workshop is None:
        return Withheld("The unit is another's now.")
    if not rules.consenting(workshop, ConsentScope.RECORDS).filter(pk=person.pk).exists():
        return Withheld("The owner no longer lets the workshop see the unit.")
    written = {(row.reason, row.occasion) for row in rows}
    standing = [
        each
        for each in standing_of(Unit.objects.filter(pk=unit.pk), today_of(person))
        if (each.reason, each.occasion) in written
    ]
    if not standing:
        return Withheld("Nothing of it stands any more.")
    lines = [{"text": to_the_owner(each), "url": _way_on(each, unit)} for each in standing]
    context = {"unit": unit, "workshop": workshop, "lines": lines}
    letter = letter_to(person, FINDINGS, "follow_up", subject_words(workshop, unit), context)
    if isinstance(letter, Letter) and workshop.email:
        return replace(letter, headers={**letter.headers, "Reply-To": workshop.email})
    return letter


def _way_on(standing: Standing, unit: Unit) -> str:
    if standing.finding is not None:
        return link("findings:finding", standing.finding)
    if standing.work:
        return link("plans:item", unit.pk, standing.work)
    if standing.reason == FollowReason.DRIFTING:
        return link("findings:measure", unit.pk)
    return link("plans:unit", unit.pk)
