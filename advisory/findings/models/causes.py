"""A workshop's own lines of the table of causes."""

from typing import Any, ClassVar

from django.db import models
from django.utils.translation import gettext_lazy as _

from advisory.common.models import Dated
from advisory.findings.marks import DamageMark
from advisory.people.access import Access, Subject
from advisory.register.models import Design


class CauseLine(Dated):
    """A workshop's own line of the table of causes, for its design and the versions of it."""

    design = models.ForeignKey(Design, on_delete=models.CASCADE, related_name="cause_lines")
    mark = models.CharField(_("mark"), max_length=20, choices=DamageMark.choices)
    cause = models.CharField(_("likely cause"), max_length=200)
    # keys of `causes.evidence`: the parts of a unit's record that are asked
    evidence: Any = models.JSONField(default=list, blank=True)
    check_for = models.CharField(_("what to check"), max_length=400)
    until_then = models.CharField(_("until then"), max_length=400)
    source = models.CharField(_("where it comes from"), max_length=200, blank=True)

    access: ClassVar[Access] = Access(
        subject=Subject.DESIGN, owner="design__units__owner", organisation="design__workshop"
    )

    class Meta:
        ordering = ["design_id", "mark", "id"]

    def __str__(self) -> str:
        return f"{self.design}: {self.cause}"
