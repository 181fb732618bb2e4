"""A workshop's own lines of the table of causes, for its designs."""

from collections.abc import Sequence

from django.db import transaction
from django.utils.translation import gettext as _

from advisory.common import audit
from advisory.common.errors import Refused
from advisory.findings.causes.evidence import EVIDENCE
from advisory.findings.marks import DamageMark
from advisory.findings.models import CauseLine
from advisory.people import rules
from advisory.people.models import Person
from advisory.people.rules import Permission
from advisory.register.models import Design

LONGEST = {"cause": 200, "check_for": 400, "until_then": 400, "source": 200}
MOST_LINES = 200


@transaction.atomic
def add_cause_line(
    *,
    design: Design,
    by: Person,
    mark: str,
    cause: str,
    check_for: str,
    until_then: str,
    evidence: Sequence[str] = (),
    source: str = "",
) -> CauseLine:
    """Add a workshop's own cause of a mark, for a design and its versions.

    `evidence` are keys of `causes.evidence`: what of a unit's record speaks for it or against it.

    Raises
    ------
    Refused
        For what can't be kept, at its field; nothing was saved.
    """
    rules.require(by, Permission.WRITE_DESIGN, design)
    if mark not in DamageMark.values:
        raise Refused(_("Choose the mark that it explains."), field="mark")
    if unknown := [key for key in evidence if key not in EVIDENCE]:
        raise Refused(
            _("“%(key)s” is no evidence that is known. Choose from the list.")
            % {"key": unknown[0][:40]},
            field="evidence",
        )
    words = {"cause": cause, "check_for": check_for, "until_then": until_then, "source": source}
    words = {name: text.strip() for name, text in words.items()}
    for name, text in words.items():
        if not text and name != "source":
            raise Refused(_("Fill this in."), field=name, code="required")
        if len(text) > LONGEST[name]:
            raise Refused(_("Use at most %(most)d letters.") % {"most": LONGEST[name]}, field=name)
    if design.cause_lines.count() >= MOST_LINES:
        raise Refused(_("That is more than 200 lines. Take out what is no longer needed."))
    line, new = CauseLine.objects.get_or_create(
        design=design, mark=mark, cause=words.pop("cause"),
        defaults={**words, "evidence": list(dict.fromkeys(evidence))},
    )  # fmt: skip
    if not new:
        raise Refused(_("This cause stands there already. Take it out first."), field="cause")
    audit.record("add_cause_line", line, by=by, design=design.pk, mark=mark)
    return line


@transaction.atomic
def remove_cause_line(*, line: CauseLine, by: Person) -> None:
    """Take one of a workshop's own lines out again."""
    rules.require(by, Permission.WRITE_DESIGN, line)
    audit.record("remove_cause_line", line, by=by, design=line.design_id, mark=line.mark)
    line.delete()
