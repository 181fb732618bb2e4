"""A workshop's own aim for a first answer."""

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.findings.models import AnsweringAim
from advisory.people import rules
from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation, Person
from advisory.people.rules import Permission

MOST_DAYS = 90


@transaction.atomic
def set_answering_aim(*, workshop: Organisation, by: Person, days: int | None) -> None:
    """Say within how many days a first answer is meant to be given; None takes the aim back."""
    rules.require(by, Permission.MANAGE_ORGANISATION, workshop)
    if workshop.kind != OrganisationKind.WORKSHOP:
        raise Refused(_("Only a workshop answers findings."))
    if days is not None and not 1 <= days <= MOST_DAYS:
        raise Refused(
            _("Write a number of days from 1 to %(most)d, or nothing.") % {"most": MOST_DAYS},
            field="days",
        )
    if days is None:
        AnsweringAim.objects.filter(workshop=workshop).delete()
    else:
        AnsweringAim.objects.update_or_create(workshop=workshop, defaults={"days": days})
    audit.record("set_answering_aim", workshop, by=by, days=days)
