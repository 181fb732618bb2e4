"""What follows from changes of rows below: a photo's file goes with its row."""

from typing import Any

from django.db import transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver

from advisory.findings.models import Finding, FindingPhoto, Measuring, WaitingPhoto
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
    """Let what was found stay, and take out who found it and what they had begun to write."""
    Finding.objects.filter(unit=unit, reported_by=former).update(reported_by=None, digest="")
    Measuring.objects.filter(unit=unit).update(by=None, note="")
    for photo in WaitingPhoto.objects.filter(unit=unit, by=former):
        photo.delete()
