"""A word to a unit's owner: written once whoever taps, a call logged, or set aside until a day."""

from datetime import date, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.notices.actions.outbox import mail_for, send_soon
from advisory.notices.enums import FollowedBy, MailKind
from advisory.notices.models import FollowUp, NoticePreference
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Unit
from advisory.reports.follow_up.listed import Reason, needs_of
from advisory.reports.follow_up.standing import standing_of

LONGEST_NOTE = 300
# Nobody remembers after a year why it was set aside; set by us.
FARTHEST = timedelta(days=366)


def write_to_owner(*, unit: Unit, by: Person) -> list[FollowUp]:
    """Write to the owner about all that stands and was not written of; a second tap writes nothing.

    Returns what was written now; nothing where somebody wrote of it already.

    Raises
    ------
    Refused
        Where nothing stands any more, the answer itself is the word, or the owner takes no mail.
    """
    with transaction.atomic():
        unit, owner, reasons = _standing(unit, by)
        letters = [reason for reason in reasons if reason.to_write]
        if not letters:
            if any(reason.written for reason in reasons):
                return []
            raise Refused(_("The owner waits for your answer: open the finding, and answer there."))
        _require_mail(owner)
        now = timezone.now()
        mail = mail_for(owner, MailKind.FOLLOW_UP, now)
        mail.save()
        rows = FollowUp.objects.bulk_create(
            _row(unit, owner, reason, FollowedBy.LETTER, by, raised_at=now, mail=mail)
            for reason in letters
        )
        audit.record("write_to_owner", unit, by=by, reasons=[row.reason for row in rows])
        send_soon()
    return list(rows)


def log_call(*, unit: Unit, by: Person, note: str = "", client_key: str = "") -> list[FollowUp]:
    """Log that the owner was called about what stands; the same form sent twice logs it once."""
    return _note(unit, by, FollowedBy.CALL, note, client_key, None)


def set_aside(
    *, unit: Unit, by: Person, until: date, note: str = "", client_key: str = ""
) -> list[FollowUp]:
    """Set what stands on a unit aside until a day; what comes new meanwhile shows all the same.

    Raises
    ------
    Refused
        For a day that is past or too far, and where nothing stands any more.
    """
    today = today_of(by)
    if until <= today:
        raise Refused(_("Choose a day that is still to come."), field="until", code="past_day")
    if until > today + FARTHEST:
        raise Refused(
            _("Choose a day within a year, %(day)s at the latest.")
            % {"day": date_format(today + FARTHEST, "j F Y")},
            field="until",
            code="far_day",
        )
    return _note(unit, by, FollowedBy.ASIDE, note, client_key, until)


def _note(
    unit: Unit, by: Person, kind: FollowedBy, note: str, client_key: str, until: date | None
) -> list[FollowUp]:
    note = " ".join(note.split())
    if len(note) > LONGEST_NOTE:
        raise Refused(
            _("Write it in %(most)d characters at most.") % {"most": LONGEST_NOTE}, field="note"
        )
    with transaction.atomic():
        unit, owner, reasons = _standing(unit, by)
        if client_key:
            before = FollowUp.objects.filter(unit=unit, kind=kind, client_key=client_key)
            if there := list(before):
                return there
        rows = FollowUp.objects.bulk_create(
            _row(unit, owner, reason, kind, by, note=note, client_key=client_key, until=until)
            for reason in reasons
        )
        audit.record(
            "log_call" if kind == FollowedBy.CALL else "set_aside",
            unit,
            by=by,
            reasons=[row.reason for row in rows],
            until=until.isoformat() if until else None,
        )
    return list(rows)


def _standing(unit: Unit, by: Person) -> tuple[Unit, Person, tuple[Reason, ...]]:
    """Lock the unit, and return what stands on it; two who tap at once come one after the other."""
    rules.require(by, Permission.FOLLOW_UP, unit)
    unit = Unit.objects.select_for_update(no_key=True, of=("self",)).get(pk=unit.pk)
    owner = unit.owner
    if owner is None or not owner.is_active:
        raise Refused(_("The unit has no owner to write to."))
    today = today_of(by)
    needs = needs_of(standing_of(Unit.objects.filter(pk=unit.pk), today), today)
    if not needs:
        raise Refused(_("Nothing of it stands any more: look at the list again."))
    return unit, owner, needs[0].reasons


def _require_mail(owner: Person) -> None:
    preference = NoticePreference.objects.filter(person=owner).first()
    if preference is None:
        return
    if not preference.findings_by_mail:
        raise Refused(
            _("The owner wants no mail about findings. Call instead, and log it here."),
            code="no_mail",
        )
    if preference.refused_address == owner.email:
        raise Refused(
            _("The owner's address takes no mail. Call instead, and log it here."), code="no_mail"
        )


def _row(
    unit: Unit, owner: Person, reason: Reason, kind: FollowedBy, by: Person, **fields: object
) -> FollowUp:
    return FollowUp(
        unit=unit,
        person=owner,
        reason=reason.standing.reason,
        occasion=reason.standing.occasion,
        kind=kind,
        by=by,
        **fields,
    )
