"""By what a list of findings is narrowed."""

from typing import Any

from django.db.models import Q, QuerySet
from django.utils import timezone
from django_filters import rest_framework as filters

from advisory.findings.enums import OWNERS_TURN, WORKSHOPS_TURN
from advisory.findings.models import Finding
from advisory.findings.queries import late_for
from api.scoped import person_of

TURNS = {"owner": OWNERS_TURN, "workshop": WORKSHOPS_TURN}
NOBODY = "nobody"


class FindingFilters(filters.FilterSet):  # type: ignore[misc]
    """How a finding stands, whose turn it is, and what waits for longer than a workshop means."""

    whose_turn = filters.ChoiceFilter(
        choices=[(turn, turn) for turn in (*TURNS, NOBODY)],
        method="narrow_to_turn",
        help_text="Who is to do something next.",
    )
    late = filters.BooleanFilter(
        method="narrow_to_late",
        help_text="true: sent to a workshop of the caller's, and without a first answer for longer"
        " than that workshop's own aim (`/workshops/{id}/answering/`). Without an aim nothing is"
        " late. false: all others.",
    )

    class Meta:
        model = Finding
        fields = ("unit", "state", "judgement", "mark")

    def narrow_to_turn(
        self, rows: "QuerySet[Finding]", name: str, value: str
    ) -> "QuerySet[Finding]":
        """Leave those at which somebody is to do something."""
        if value == NOBODY:
            return rows.exclude(state__in=OWNERS_TURN | WORKSHOPS_TURN)
        return rows.filter(state__in=TURNS[value])

    def narrow_to_late(self, rows: "QuerySet[Finding]", name: str, value: Any) -> Any:
        """Leave those that are late by the aim of a workshop at which the caller answers."""
        late = Q(pk__in=late_for(person_of(self.request), timezone.now()).values("pk"))
        return rows.filter(late if value else ~late)
