"""What the apps below say, and what leaves the service because of it.

The signals come inside the transaction of what they tell: the mail's row stands or falls with it.
"""

from typing import Any

from django.core.mail import EmailMessage
from django.db import transaction
from django.dispatch import receiver

from advisory.findings.models import Answer, Finding, Way
from advisory.findings.signals import (
    finding_answered,
    finding_replied,
    finding_reported,
    way_picked,
)
from advisory.notices.actions.account_letters import send_account_letter
from advisory.notices.actions.bulletins import tell_owners_of_bulletin
from advisory.notices.actions.findings import tell_owner, tell_workshop, tell_workshop_back
from advisory.notices.actions.invitations import send_invitation
from advisory.notices.actions.outbox import offer_mail, send_soon
from advisory.notices.actions.snoozes import strip_snoozes
from advisory.notices.actions.webhooks import tell_system
from advisory.notices.enums import WebhookEvent
from advisory.notices.models import FollowUp
from advisory.people.models import Invitation
from advisory.people.signals import invitation_made, letter_written
from advisory.plans.models.bulletins import Bulletin
from advisory.plans.signals import bulletin_sent
from advisory.register.models import HandOver, Unit
from advisory.register.signals import unit_offered, unit_passed_on


@receiver(finding_reported)
def mail_to_the_workshop(finding: Finding, **kwargs: Any) -> None:
    """Tell the workshop's members."""
    with transaction.atomic():
        tell_workshop(finding=finding)


@receiver(finding_reported)
def tell_the_workshops_system(finding: Finding, **kwargs: Any) -> None:
    """Tell the workshop's own system, where it has one."""
    with transaction.atomic():
        tell_system(event=WebhookEvent.FINDING_REPORTED, finding=finding)


@receiver(way_picked)
def tell_the_workshops_system_of_the_way(finding: Finding, way: Way, **kwargs: Any) -> None:
    """Tell the workshop's own system which way the owner picked; each pick once."""
    picked_by = Way.objects.values_list("picked_by", flat=True).get(pk=way.pk)
    with transaction.atomic():
        tell_system(
            event=WebhookEvent.WAY_PICKED, finding=finding, about=picked_by or way.pk, way=way.pk
        )


@receiver(finding_answered)
def mail_to_the_owner(answer: Answer, **kwargs: Any) -> None:
    """Tell the owner."""
    with transaction.atomic():
        tell_owner(answer=answer)


@receiver(bulletin_sent)
def mail_the_bulletin(bulletin: Bulletin, **kwargs: Any) -> None:
    """Tell the owners of the units that it met."""
    with transaction.atomic():
        tell_owners_of_bulletin(bulletin=bulletin)


@receiver(finding_replied)
def mail_what_was_written_back(answer: Answer, **kwargs: Any) -> None:
    """Tell the workshop's members."""
    with transaction.atomic():
        tell_workshop_back(answer=answer)


@receiver(invitation_made)
def mail_the_invitation(invitation: Invitation, token: str, **kwargs: Any) -> None:
    """Write the letter while the token is known."""
    with transaction.atomic():
        send_invitation(invitation=invitation, token=token)


@receiver(unit_offered)
def mail_the_offer(offer: HandOver, **kwargs: Any) -> None:
    """Write to who is to be the owner; the code is worked out when the letter goes."""
    with transaction.atomic():
        offer_mail(offer).save()
        send_soon()


@receiver(unit_passed_on)
def forget_what_was_said_to_the_former_owner(sender: type, *, unit: Unit, **_kwargs: Any) -> None:
    """Take away what a workshop wrote, and noted of calls: it was between it and that owner."""
    FollowUp.objects.filter(unit=unit).delete()


@receiver(unit_passed_on)
def end_what_the_former_owner_put_off(sender: type, *, unit: Unit, **_kwargs: Any) -> None:
    """Let the new owner be reminded of all; what the former one noted is nobody's any more."""
    strip_snoozes(unit=unit)


@receiver(letter_written)
def mail_the_letter(message: EmailMessage, **kwargs: Any) -> None:
    """Send what lets a person in."""
    send_account_letter(message=message)
