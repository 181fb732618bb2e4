"""What comes back again on a workshop's units: counts, rates, what stands out, the units behind."""

from typing import Any

from django.http import Http404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.people.clock import today_of
from advisory.people.models import Person
from advisory.register.models import Unit
from advisory.reports.enums import Cut, Period, Stands
from advisory.reports.forms import YearsForm
from advisory.reports.queries import workshops_of
from advisory.reports.recurring import (
    Row,
    UnitBehind,
    Watched,
    tables_of,
    units_behind,
    watched_by,
)
from api.scoped import person_of

YEARS = OpenApiParameter("years", str, enum=[period.value for period in Period])


class IntervalSerializer(serializers.Serializer[Any]):
    """A figure and the ends of its interval of 95 %; null where there is no end."""

    value = serializers.FloatField(allow_null=True)
    lower = serializers.FloatField(allow_null=True)
    upper = serializers.FloatField(allow_null=True)


class SumsSerializer(serializers.Serializer[Any]):
    """What was found, on how many units, in how much time."""

    findings = serializers.IntegerField()
    units_with = serializers.IntegerField(help_text="Units on which anything was found.")
    units = serializers.IntegerField()
    years = serializers.FloatField(
        help_text="Unit-years; for batch and origin years of places of the kind."
    )
    rate = IntervalSerializer(allow_null=True, help_text="Findings a year, exact Poisson limits.")


class RowSerializer(serializers.Serializer[Any]):
    """One cell, against the others of its kind."""

    by = serializers.ChoiceField(Cut.choices)
    key = serializers.CharField(help_text="Ask for the units behind it with this.")
    name = serializers.CharField(allow_blank=True)
    of = serializers.CharField(
        allow_blank=True, help_text="The design, or the kind of position, that it is told with."
    )
    own = SumsSerializer()
    others = SumsSerializer()
    ratio = IntervalSerializer(allow_null=True, help_text="Own rate over that of the others.")
    adjusted = serializers.FloatField(help_text="p-value, allowing for all comparisons made.")
    stands = serializers.ChoiceField(Stands.choices, allow_blank=True)


class RecurringSerializer(serializers.Serializer[Any]):
    """All cells of all cuts, and those of them that stand out."""

    on = serializers.DateField()
    years = serializers.ChoiceField(Period.choices)
    units = serializers.IntegerField()
    findings = serializers.IntegerField()
    unit_years = serializers.FloatField()
    standing_out = RowSerializer(many=True)
    rows = RowSerializer(many=True)


class UnitBehindSerializer(serializers.Serializer[Any]):
    """A unit behind a cell."""

    unit = serializers.IntegerField()
    years = serializers.FloatField()
    findings = serializers.ListField(child=serializers.IntegerField())


def _seen(request: Request, pk: int) -> tuple[Person, Period, Watched]:
    by = person_of(request)
    shop = workshops_of(by).filter(pk=pk).first()
    if shop is None:
        raise Http404
    period = YearsForm.of(request.query_params.dict()).period
    return by, period, watched_by(shop, by, today_of(by), period)


def _row(cut: Cut, row: Row) -> dict[str, Any]:
    return {
        "by": cut.value,
        "key": row.cell.key,
        "name": row.cell.name,
        "of": row.cell.of,
        "own": row.own,
        "others": row.others,
        "ratio": row.ratio,
        "adjusted": row.adjusted,
        "stands": row.stands.value,
    }


class RecurringView(APIView):
    """Findings across a workshop's units, as far as the caller may see them."""

    @extend_schema(parameters=[YEARS], responses=RecurringSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Count them now."""
        by, period, seen = _seen(request, pk)
        tables = tables_of(seen)
        content = {
            "on": today_of(by),
            "years": period.value,
            "units": tables.units,
            "findings": tables.findings,
            "unit_years": tables.years,
            "standing_out": [_row(cut, row) for cut, row in tables.standing_out],
            "rows": [_row(table.cut, row) for table in tables.tables for row in table.rows],
        }
        return Response(RecurringSerializer(content).data)


class RecurringUnitsView(GenericAPIView[Unit]):
    """The units behind a cell."""

    serializer_class = UnitBehindSerializer
    queryset = Unit.objects.none()
    filter_backends = ()

    @extend_schema(
        parameters=[
            YEARS,
            OpenApiParameter("by", str, enum=Cut.values, required=True),
            OpenApiParameter("cell", str, required=True, description="The key of a row."),
        ],
        responses=UnitBehindSerializer(many=True),
    )
    def get(self, request: Request, pk: int) -> Response:
        """List them, those with most findings first."""
        _by, _period, seen = _seen(request, pk)
        asked = request.query_params
        if asked.get("by") not in Cut.values:
            raise Http404
        behind = units_behind(seen, Cut(asked["by"]), asked.get("cell", ""))
        if behind is None:
            raise Http404
        rows: Any = behind[1]
        page: list[UnitBehind] = self.paginate_queryset(rows) or []
        return self.get_paginated_response(UnitBehindSerializer(page, many=True).data)
