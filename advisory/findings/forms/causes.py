"""The form for a workshop's own line of the table of causes."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from advisory.common.errors import Refused
from advisory.findings.actions.cause_lines import LONGEST, add_cause_line
from advisory.findings.causes.evidence import EVIDENCE
from advisory.findings.marks import DamageMark
from advisory.findings.models import CauseLine
from advisory.people.models import Person
from advisory.register.models import Design


class CauseLineForm(forms.Form):
    """One line: the mark, the cause, what speaks to it, what to check, what to do until then."""

    use_required_attribute = False

    mark = forms.ChoiceField(label=_("Mark"))
    cause = forms.CharField(label=_("Likely cause"), max_length=LONGEST["cause"])
    evidence = forms.MultipleChoiceField(
        label=_("What of the unit's record speaks for it"),
        help_text=_("Where the record says the opposite, it is shown as speaking against it."),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    check_for = forms.CharField(
        label=_("What to check, to tell it from the others"),
        max_length=LONGEST["check_for"],
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    until_then = forms.CharField(
        label=_("What to do until then"),
        help_text=_("Where a place is past its limit, the owner is told to stop instead."),
        max_length=LONGEST["until_then"],
        widget=forms.Textarea(attrs={"rows": 2}),
    )
    source = forms.CharField(
        label=_("Where it comes from"), max_length=LONGEST["source"], required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        mark, evidence = self.fields["mark"], self.fields["evidence"]
        assert isinstance(mark, forms.ChoiceField)
        assert isinstance(evidence, forms.MultipleChoiceField)
        mark.choices = [(one.value, one.label) for one in DamageMark]
        evidence.choices = [(piece.key, str(piece.name)) for piece in EVIDENCE.values()]

    def save(self, *, design: Design, by: Person) -> CauseLine | None:
        """Add it; None where it was refused, with the reason at its field."""
        try:
            return add_cause_line(design=design, by=by, **self.cleaned_data)
        except Refused as refused:
            field = refused.field if refused.field in self.fields else None
            self.add_error(field, refused.message)
            return None
