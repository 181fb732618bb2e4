"""Forms of the notices app."""

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

from django import forms
from django.utils.dates import WEEKDAYS
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from advisory.common.errors import Question, Refused
from advisory.notices.actions.preferences import CHOICES, choose_notices
from advisory.notices.actions.snoozes import snooze_item
from advisory.notices.enums import SnoozeReason
from advisory.notices.models import NoticePreference, ReadingRequest
from advisory.notices.models.webhooks import LONGEST_ADDRESS
from advisory.people.clock import today_of
from advisory.people.forms import RefusableForm
from advisory.people.models import Person
from advisory.people.queries import at_work
from advisory.plans.models import PlanItem
from advisory.register.fields import PastDateField, ShownField
from advisory.register.forms.answered import AnsweredForm

USUAL_SNOOZE = timedelta(days=14)


HOURS = [(hour, f"{hour:02}:00") for hour in range(25)]


class PreferenceForm(RefusableForm):
    """Which mails a person wants, and when reminders may come."""

    reminders_by_mail = forms.BooleanField(
        label=gettext_lazy("Reminders of what my units need"),
        help_text=gettext_lazy(
            "At most one mail for all of them a day, on the days and in the hours chosen below;"
            " none while a car is laid up, but for the lay-up itself."
        ),
        required=False,
    )
    findings_by_mail = forms.BooleanField(
        label=gettext_lazy("Findings and the answers to them, and what owners let a workshop know"),
        required=False,
    )
    bulletins_by_mail = forms.BooleanField(
        label=gettext_lazy("Bulletins of workshops and clubs that I consent to"),
        help_text=gettext_lazy("What they ask of a unit stands on its plan all the same."),
        required=False,
    )
    weekly_by_mail = forms.BooleanField(
        label=gettext_lazy("What waits at my workshop or club, once a week"),
        help_text=gettext_lazy("None comes in a week with nothing to say."),
        required=False,
    )
    mail_days = forms.TypedMultipleChoiceField(
        label=gettext_lazy("Reminders may come on"),
        choices=[(day, name) for day, name in WEEKDAYS.items()],
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={
            "required": gettext_lazy(
                "Choose one day of the week at least. To have no mail at all, untick reminders."
            )
        },
    )
    from_hour = forms.TypedChoiceField(label=gettext_lazy("From"), choices=HOURS[:24], coerce=int)
    until_hour = forms.TypedChoiceField(label=gettext_lazy("To"), choices=HOURS[1:], coerce=int)
    tell_workshop = forms.BooleanField(
        label=gettext_lazy("Let the workshop know what is overdue on a unit that it built"),
        help_text=gettext_lazy("Only while you consent to its seeing how you use the unit."),
        required=False,
    )

    def __init__(self, *args: Any, preference: NoticePreference, **kwargs: Any) -> None:
        kept = {name: getattr(preference, name) for name in CHOICES}
        kept["mail_days"] = [day for day in WEEKDAYS if preference.mail_days >> day & 1]
        kwargs["initial"] = kept
        super().__init__(*args, **kwargs)
        work = at_work(preference.person)
        if not (work.workshops or work.clubs_as_officer or preference.weekly_by_mail):
            del self.fields["weekly_by_mail"]

    def clean_mail_days(self) -> int:
        """Return a bit for each day."""
        return sum(1 << day for day in self.cleaned_data["mail_days"])

    def save(self, by: Person) -> bool:
        """Keep the choice; False where it was refused, with the reason at its field."""
        try:
            choose_notices(by=by, **self.cleaned_data)
        except Refused as refused:
            self.refuse(refused)
            return False
        return True


class LaterForm(RefusableForm):
    """When somebody wants to hear of an item again, and why not now."""

    reason = forms.ChoiceField(
        label=gettext_lazy("Why later?"),
        choices=SnoozeReason.choices,
        widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Say why, so that you know it again later.")},
    )
    note = forms.CharField(label=gettext_lazy("Note"), required=False, max_length=200)
    until = PastDateField(label=gettext_lazy("Remind me on"), required=False)
    until_reading = forms.BooleanField(
        label=gettext_lazy("or when I next enter a reading, if that is sooner"), required=False
    )

    def __init__(
        self, *args: Any, item: PlanItem, by: Person, cycle: int, latest: date | None, **kwargs: Any
    ) -> None:
        usual = today_of(by) + USUAL_SNOOZE
        kwargs["initial"] = {"until": min(usual, latest) if latest else None}
        super().__init__(*args, **kwargs)
        self.item, self.by, self.cycle, self.latest = item, by, cycle, latest

    def save(self) -> bool:
        """Put it off; False where that was refused, with the reason at its field."""
        try:
            snooze_item(item=self.item, by=self.by, cycle=self.cycle, **self.cleaned_data)
        except Refused as refused:
            self.refuse(refused)
            return False
        return True


class AskedReadingForm(AnsweredForm):
    """What the odometer shows today: one number.

    Whoever holds the link may not be who it was written to, so that no message says anything of
    earlier numbers.
    """

    shown = ShownField(label=gettext_lazy("The odometer shows"))
    about = ("shown",)

    def save(self, asked: ReadingRequest, answer: Callable[..., None]) -> bool:
        """Write it down; False where it was refused."""
        try:
            answer(
                request=asked,
                shown=self.cleaned_data["shown"],
                confirm=self.confirms,
                went_round=self.went_round,
            )
        except Question as question:
            question.message = _("That is not what we expected. Look at the number once more.")
            self.refuse(question)
            return False
        except Refused as refused:
            self.refuse(refused)
            return False
        return True


class WebhookForm(RefusableForm):
    """Where a workshop's own system listens."""

    url = forms.CharField(
        label=gettext_lazy("Address of your system"),
        help_text=gettext_lazy(
            "As https://…; it takes a POST and answers with 2xx within 5 seconds."
        ),
        max_length=LONGEST_ADDRESS,
        widget=forms.TextInput(attrs={"inputmode": "url", "autocomplete": "off"}),
    )
