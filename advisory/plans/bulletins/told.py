"""What may be told of whom a bulletin meets, and who has read it and done what it asks.

A workshop sees its customers' units one by one, while they consent. A club is told numbers of
owners alone, and only in steps of five: so that no number, no difference of two numbers (read and
not read, this choice and that one, today and tomorrow) is exactly one of fewer than five owners.
"""

from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from advisory.people import rules
from advisory.people.enums import OrganisationKind
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.plans.bulletins.audience import FEWEST_OWNERS, audience, owners_reached
from advisory.plans.models.bulletins import Bulletin, BulletinUnit


@dataclass(frozen=True)
class Tally:
    """A number of owners, and of units where that may be told; None where it may not.

    Told in fives `owners` is the least that it is; below five nothing is told, not even whether
    there is anybody.
    """

    owners: int | None
    units: int | None = None
    in_fives: bool = False

    @property
    def words(self) -> str:
        """The number in words."""
        if self.owners is None:
            return _("fewer than five owners, or none")
        if self.in_fives:
            return _("%(n)d to %(most)d owners") % {
                "n": self.owners,
                "most": self.owners + FEWEST_OWNERS - 1,
            }
        if not self.owners:
            return _("nobody")
        owners = ngettext("%(n)d owner", "%(n)d owners", self.owners) % {"n": self.owners}
        if self.units is None:
            return owners
        return ngettext("%(n)d unit of %(owners)s", "%(n)d units of %(owners)s", self.units) % {
            "n": self.units,
            "owners": owners,
        }


@dataclass(frozen=True)
class Became:
    """What became of a bulletin that was sent."""

    met: Tally
    read: Tally
    done: Tally | None


def meets(bulletin: Bulletin) -> Tally:
    """Return how many a bulletin would meet if it were sent now."""
    counted = audience(bulletin).aggregate(
        units=Count("pk", distinct=True), owners=Count("owner", distinct=True)
    )
    return _tally(bulletin, counted["owners"], counted["units"])


def became_of(bulletin: Bulletin, by: Person) -> Became:
    """Return who has read a bulletin and done what it asks, as far as `by` may be told."""
    rows = rows_told(bulletin, by)
    open_of = rows.filter(work_done=None).values("unit__owner")
    unread_of = rows.filter(read_at=None).values("unit__owner")

    def tally(condition: Q) -> Tally:
        counted = rows.filter(condition).aggregate(
            units=Count("pk"), owners=Count("unit__owner", distinct=True)
        )
        return _tally(bulletin, counted["owners"], counted["units"])

    if bulletin.organisation.kind == OrganisationKind.WORKSHOP:
        read, done = Q(read_at__isnull=False), Q(work_done__isnull=False)
    else:  # an owner counts once all of theirs is read, and done
        read, done = ~Q(unit__owner__in=unread_of), ~Q(unit__owner__in=open_of)
    return Became(
        met=tally(Q()),
        read=tally(read),
        done=tally(done) if bulletin.asks_for_work else None,
    )


def rows_told(bulletin: Bulletin, by: Person) -> "QuerySet[BulletinUnit]":
    """Return what is counted: units of owners who consent now; to a workshop its own alone."""
    rows = BulletinUnit.objects.filter(bulletin=bulletin)
    if bulletin.organisation.kind == OrganisationKind.WORKSHOP:
        return rules.scope(by, Permission.VIEW_USE, rows.filter(unit__owner__isnull=False))
    return rows.filter(unit__owner__in=owners_reached(bulletin.organisation))


def _tally(bulletin: Bulletin, owners: int, units: int) -> Tally:
    if bulletin.organisation.kind == OrganisationKind.WORKSHOP:
        return Tally(owners, units)
    if owners < FEWEST_OWNERS:
        return Tally(None, in_fives=True)
    return Tally(owners - owners % FEWEST_OWNERS, in_fives=True)
