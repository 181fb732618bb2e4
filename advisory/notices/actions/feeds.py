"""Making and revoking the secret addresses of a person's calendar."""

from django.db import transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.notices.models import CalendarFeed
from advisory.notices.queries import own_feeds
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission

MOST_FEEDS = 10


def make_feed(*, by: Person) -> CalendarFeed:
    """Make a new address; those that stand go on working."""
    with transaction.atomic():
        if own_feeds(by).count() >= MOST_FEEDS:
            raise Refused(
                _("You have %(most)d addresses already. Stop one that you no longer use first.")
                % {"most": MOST_FEEDS}
            )
        feed = CalendarFeed.objects.create(person=by)
        audit.record("make_feed", feed, by=by)
    return feed


def revoke_feed(*, feed: CalendarFeed, by: Person) -> None:
    """Make an address work no longer, at once and for ever."""
    rules.require(by, Permission.KEEP_ACCOUNT, feed)
    with transaction.atomic():
        revoked = CalendarFeed.objects.filter(pk=feed.pk, revoked_at=None).update(
            revoked_at=timezone.now()
        )
        if revoked:
            audit.record("revoke_feed", feed, by=by)
