"""The form of a bulletin: what it says, and whom it meets."""

from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.errors import Refused
from advisory.lubrication.enums import Feed, Filtration
from advisory.lubrication.models import Lubricant
from advisory.lubrication.queries import lubricants_for
from advisory.people.enums import OrganisationKind
from advisory.people.forms import RefusableForm
from advisory.people.models import Organisation, Person
from advisory.plans.actions.bulletins import LONGEST, change_bulletin, write_bulletin
from advisory.plans.bulletins.audience import designs_offered
from advisory.plans.enums import OilOfKind
from advisory.plans.models.bulletins import CRITERIA, WORDS, Bulletin
from advisory.register.enums import UnitKind
from advisory.register.fields import PastDateField
from advisory.register.models import Design


def _any_of(choices: list[tuple[str, Any]]) -> list[tuple[str, Any]]:
    return [("", gettext_lazy("Any")), *choices]


class _DesignField(forms.ModelChoiceField):  # type: ignore[type-arg]  # not at run time
    def label_from_instance(self, obj: Any) -> str:
        return f"{obj}, {obj.get_kind_display()}"


class BulletinForm(RefusableForm):
    """What a workshop or club wants to tell, and to whom."""

    title = forms.CharField(label=gettext_lazy("Title"), max_length=LONGEST["title"])
    text = forms.CharField(
        label=gettext_lazy("What you want to tell"),
        max_length=LONGEST["text"],
        widget=forms.Textarea(attrs={"rows": 8}),
    )
    asks = forms.CharField(
        label=gettext_lazy("What is to be done"),
        help_text=gettext_lazy("It stands on the plan of each unit. Empty: there is only to read."),
        max_length=LONGEST["asks"],
        required=False,
    )
    until = PastDateField(label=gettext_lazy("By when"), required=False)
    before_it_runs = forms.BooleanField(
        label=gettext_lazy("It is not to run before that is done"),
        help_text=gettext_lazy("For what may cost the unit, or hurt somebody."),
        required=False,
    )
    kind = forms.ChoiceField(
        label=gettext_lazy("Kind"), choices=_any_of(UnitKind.choices), required=False
    )
    design = _DesignField(
        label=gettext_lazy("Design, with all its versions"),
        queryset=Design.objects.none(),
        required=False,
        empty_label=gettext_lazy("Any"),
    )
    batch = forms.CharField(
        label=gettext_lazy("Batch, as on the build sheet"),
        max_length=LONGEST["batch"],
        required=False,
    )
    lubricant = forms.ModelChoiceField(
        label=gettext_lazy("Oil in it"),
        queryset=Lubricant.objects.none(),
        required=False,
        empty_label=gettext_lazy("Any"),
    )
    oil_of_kind = forms.ChoiceField(
        label=gettext_lazy("Kind of oil"), choices=_any_of(OilOfKind.choices), required=False
    )
    filtration = forms.ChoiceField(
        label=gettext_lazy("Filter"), choices=_any_of(Filtration.choices), required=False
    )
    feed = forms.ChoiceField(
        label=gettext_lazy("How oil comes"),
        choices=_any_of([one for one in Feed.choices if one[0] != Feed.UNKNOWN]),
        required=False,
    )

    def __init__(
        self,
        *args: Any,
        organisation: Organisation,
        by: Person,
        bulletin: Bulletin | None = None,
        **kwargs: Any,
    ) -> None:
        if bulletin is not None:
            kwargs["initial"] = {name: getattr(bulletin, name) for name in WORDS + CRITERIA}
        super().__init__(*args, **kwargs)
        self.organisation, self.by, self.bulletin = organisation, by, bulletin
        design, lubricant = self.fields["design"], self.fields["lubricant"]
        assert isinstance(design, forms.ModelChoiceField)
        assert isinstance(lubricant, forms.ModelChoiceField)
        design.queryset = designs_offered(organisation, by)
        lubricant.queryset = lubricants_for(by)

    @property
    def to_whom(self) -> str:
        """Say to whom it goes at most."""
        if self.organisation.kind == OrganisationKind.WORKSHOP:
            return _(
                "It goes to the owners of units that you built, as far as they consent to you."
                " What you leave open meets all of them."
            )
        return _(
            "It goes to the owners who consent to the club. What you leave open meets all of them."
        )

    def save(self) -> Bulletin | None:
        """Keep it; None where it was refused, with the reason at its field."""
        said = {name: self.cleaned_data[name] for name in WORDS + CRITERIA}
        try:
            if self.bulletin is not None:
                return change_bulletin(bulletin=self.bulletin, by=self.by, **said)
            return write_bulletin(organisation=self.organisation, by=self.by, **said)
        except Refused as refused:
            self.refuse(refused)
            return None
