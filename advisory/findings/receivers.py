"""What follows from changes of rows below: a photo's file goes with its row."""

from typing import Any

from django.db import transaction
from django.db.models import Q
from django.db.models.signals import post_delete
from django.dispatch import receiver

from advisory.findings.enums import OF_THE_OWNER, FindingState
from advisory.findings.models import (
    Answer,
    Finding,
    FindingPhoto,
    Inspection,
    InspectionStep,
    Measuring,
    WaitingPhoto,
    Way,
)
from advisory.findings.photos import remove_files
from advisory.people.models import Person
from advisory.register.models import Unit
from advisory.register.signals import unit_passed_on


@receiver(post_delete, sender=FindingPhoto)
@receiver(post_delete, sender=WaitingPhoto)
def remove_the_file(instance: FindingPhoto | WaitingPhoto, **kwargs: Any) -> None:
    """Take the file out of the store once it is certain that its row is gone."""
    name = instance.file.name
    if name:
        transaction.on_commit(lambda: remove_files([name]))


@receiver(unit_passed_on)
def forget_the_former_owner(sender: type, *, unit: Unit, former: Person, **_: Any) -> None:
    """Let what was found stay, and take out who found it and what they had begun to write.

    What they wrote back goes, and the prices that were told to them; what they had agreed to binds
    nobody any more.
    """
    findings = Finding.objects.filter(unit=unit)
    findings.filter(reported_by=former).update(reported_by=None, digest="")
    findings.filter(closed_by=former).update(closed_by=None, cause_found="")
    theirs = Answer.objects.filter(Q(kind__in=OF_THE_OWNER) | Q(by=former), finding__unit=unit)
    theirs.update(by=None, text="", digest="")
    Way.objects.filter(finding__unit=unit).update(price=None)
    findings.exclude(agreed=None).update(agreed=None)
    findings.filter(state=FindingState.AGREED).update(state=FindingState.ANSWERED)
    Measuring.objects.filter(unit=unit).update(by=None, note="")
    Inspection.objects.filter(unit=unit, finished_at=None).delete()
    Inspection.objects.filter(unit=unit).update(by=None, client_key="")
    InspectionStep.objects.filter(inspection__unit=unit).update(words="")
    for photo in WaitingPhoto.objects.filter(unit=unit, by=former):
        photo.delete()
