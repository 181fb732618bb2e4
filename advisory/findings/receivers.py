"""What follows from changes of rows below: a photo's file goes with its row."""

from typing import Any

from django.db import transaction
from django.db.models.signals import post_delete
from django.dispatch import receiver

from advisory.findings.models import FindingPhoto, WaitingPhoto
from advisory.findings.photos import remove_files


@receiver(post_delete, sender=FindingPhoto)
@receiver(post_delete, sender=WaitingPhoto)
def remove_the_file(instance: FindingPhoto | WaitingPhoto, **kwargs: Any) -> None:
    """Take the file out of the store once it is certain that its row is gone."""
    name = instance.file.name
    if name:
        transaction.on_commit(lambda: remove_files([name]))
