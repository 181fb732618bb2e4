"""What a person's calendars were given, so that what vanishes is called off there."""

from typing import ClassVar

from django.db import models

from advisory.people.access import Access, Subject
from advisory.people.models import Person


class CalendarEntry(models.Model):
    """One entry as a person's calendars had it last; it outlives its item, and a unit's sale.

    `item_key` is the key of an item of a plan, of which the UID is made: no reference, for the item
    may be gone. Its sequence only ever grows.
    """

    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="calendar_entries")
    item_key = models.BigIntegerField()
    # of what it said; another digest is another sequence
    digest = models.CharField(max_length=32)
    sequence = models.PositiveIntegerField()
    changed_at = models.DateTimeField()
    day = models.DateField()
    summary = models.CharField(max_length=300)
    cancelled_at = models.DateTimeField(null=True, blank=True)

    access: ClassVar[Access] = Access(subject=Subject.ACCOUNT, owner="person")

    class Meta:
        ordering = ["person_id", "day", "item_key"]
        verbose_name_plural = "calendar entries"
        constraints = [
            models.UniqueConstraint(fields=["person", "item_key"], name="calendar_entry_once")
        ]

    def __str__(self) -> str:
        return f"{self.summary}, {self.day}"
