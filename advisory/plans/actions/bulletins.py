"""What a workshop or club does with a bulletin: writes it, sends it once, takes it back."""

from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.common.jobs import start_soon
from advisory.people import rules
from advisory.people.clock import today_of
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission
from advisory.plans.actions.refresh import refresh_plans, refresh_soon
from advisory.plans.bulletins.audience import audience, designs_offered
from advisory.plans.models.bulletins import CRITERIA, WORDS, Bulletin, BulletinUnit, facts_of
from advisory.plans.signals import bulletin_sent

SWEEP = "advisory.plans.tasks.put_bulletins_on_plans"
# So many plans are reckoned while a page waits; more are left to the job.
MOST_AT_ONCE = 50
LONGEST = {"title": 120, "text": 8000, "asks": 300, "batch": 80}
FARTHEST_AHEAD = timedelta(days=731)


def write_bulletin(*, organisation: Organisation, by: Person, **said: Any) -> Bulletin:
    """Write a bulletin that goes to nobody yet; `said` are its words and whom it meets.

    Raises
    ------
    Refused
        Where something is missing; nothing was saved.
    """
    rules.require(by, Permission.WRITE_BULLETIN, organisation)
    bulletin = Bulletin(organisation=organisation, written_by=by)
    _take(bulletin, said, by)
    with transaction.atomic():
        bulletin.save()
        audit.record("write_bulletin", bulletin, by=by, **facts_of(bulletin))
    return bulletin


def change_bulletin(*, bulletin: Bulletin, by: Person, **said: Any) -> Bulletin:
    """Write a bulletin anew that was not sent yet."""
    rules.require(by, Permission.WRITE_BULLETIN, bulletin)
    with transaction.atomic():
        row = Bulletin.objects.select_for_update(of=("self",)).get(pk=bulletin.pk)
        if row.sent_at is not None:
            raise _sent_already()
        _take(row, said, by)
        row.save()
        audit.record("change_bulletin", row, by=by, **facts_of(row))
    return row


def discard_bulletin(*, bulletin: Bulletin, by: Person) -> None:
    """Throw away a bulletin that was not sent."""
    rules.require(by, Permission.WRITE_BULLETIN, bulletin)
    with transaction.atomic():
        row = Bulletin.objects.select_for_update(of=("self",)).get(pk=bulletin.pk)
        if row.sent_at is not None:
            raise _sent_already()
        audit.record("discard_bulletin", row, by=by, title=row.title)
        row.delete()


def send_bulletin(*, bulletin: Bulletin, by: Person) -> int:
    """Send a bulletin, once; return how many units it met.

    Rows, letters and what is told stand together or not at all; where somebody else has just sent
    it nothing happens. What it asks stands on the plans at once, or, of many, within minutes.

    Raises
    ------
    Refused
        If its day has passed meanwhile.
    """
    rules.require(by, Permission.WRITE_BULLETIN, bulletin)
    _check_day(bulletin.asks, bulletin.until, bulletin.before_it_runs, by)
    now = timezone.now()
    with transaction.atomic():
        waiting = Bulletin.objects.filter(pk=bulletin.pk, sent_at=None)
        if not waiting.update(sent_at=now, sent_by=by):
            return 0
        sent = Bulletin.objects.select_related("organisation", "design").get(pk=bulletin.pk)
        units = list(audience(sent).order_by("pk").values_list("pk", flat=True))
        BulletinUnit.objects.bulk_create(
            [BulletinUnit(bulletin=sent, unit_id=pk) for pk in units], batch_size=1000
        )
        audit.record("send_bulletin", sent, by=by, units=len(units))
        bulletin_sent.send(sender=Bulletin, bulletin=sent)
        _follow(sent, units)
    return len(units)


def withdraw_bulletin(*, bulletin: Bulletin, by: Person) -> None:
    """Take a bulletin back that was wrong: what it asks leaves the plans, its page says so."""
    rules.require(by, Permission.WRITE_BULLETIN, bulletin)
    with transaction.atomic():
        standing = Bulletin.objects.filter(pk=bulletin.pk, sent_at__isnull=False, withdrawn_at=None)
        if standing.update(withdrawn_at=timezone.now(), on_plans_at=None):
            audit.record("withdraw_bulletin", bulletin, by=by)
            units = BulletinUnit.objects.filter(bulletin=bulletin)
            _follow(bulletin, list(units.values_list("unit", flat=True)))


def mark_read(*, bulletin: Bulletin, by: Person) -> None:
    """Note that an owner has had a bulletin before them."""
    BulletinUnit.objects.filter(bulletin=bulletin, unit__owner=by, read_at=None).update(
        read_at=timezone.now()
    )


def put_on_plans() -> int:
    """Reckon the plans of all units of bulletins that are not on them yet; return how many.

    It may be killed and begun again at any point: what is reckoned twice changes nothing.
    """
    moved = 0
    rows = Bulletin.objects.filter(sent_at__isnull=False, on_plans_at=None)
    for bulletin in rows.exclude(asks="").order_by("pk"):
        units = BulletinUnit.objects.filter(bulletin=bulletin)
        moved += refresh_plans(units=units.values_list("unit", flat=True))
        # one that was taken back while it was put there is reckoned once more
        Bulletin.objects.filter(pk=bulletin.pk, withdrawn_at=bulletin.withdrawn_at).update(
            on_plans_at=timezone.now()
        )
    return moved


def _follow(bulletin: Bulletin, units: list[int]) -> None:
    if not bulletin.asks_for_work:
        return
    if len(units) <= MOST_AT_ONCE:
        refresh_soon(units)
    start_soon(SWEEP)


def _take(bulletin: Bulletin, said: dict[str, Any], by: Person) -> None:
    unknown = set(said).difference(WORDS, CRITERIA)
    if unknown:
        raise TypeError(f"A bulletin has no {sorted(unknown)}.")
    for name, value in said.items():
        setattr(bulletin, name, value.strip() if isinstance(value, str) else value)
    for name, missing in (
        ("title", _("Give it a title by which it is known again.")),
        ("text", _("Write what you want to tell.")),
    ):
        if not getattr(bulletin, name):
            raise Refused(missing, field=name)
    for name, longest in LONGEST.items():
        if len(getattr(bulletin, name)) > longest:
            raise Refused(_("Use at most %(n)d letters.") % {"n": longest}, field=name)
    if not bulletin.asks and (bulletin.until or bulletin.before_it_runs):
        raise Refused(_("Write what is to be done until then."), field="asks")
    _check_day(bulletin.asks, bulletin.until, bulletin.before_it_runs, by)
    design, oil = bulletin.design_id, bulletin.lubricant
    if design is not None:
        offered = designs_offered(bulletin.organisation, by)
        if not offered.filter(pk=design).exists():
            raise Refused(_("Choose one from the list."), field="design")
    if oil is not None and not rules.may(by, Permission.VIEW_LUBRICANT, oil):
        raise Refused(_("Choose one from the list."), field="lubricant")


def _check_day(asks: str, until: date | None, before_it_runs: bool, by: Person) -> None:
    if not asks or before_it_runs:
        return
    today = today_of(by)
    if until is None:
        raise Refused(
            _("Say by when it is to be done, or that it is not to run before."), field="until"
        )
    if not today <= until <= today + FARTHEST_AHEAD:
        raise Refused(_("Choose a day from today on, within two years."), field="until")


def _sent_already() -> Refused:
    return Refused(
        _("It was sent already. If it is wrong, take it back and write another."), code="sent"
    )
