"""Fleet reports: a club's, kept as they were given, and a workshop's own of the moment."""

from collections.abc import Mapping
from typing import Any

from django.http import Http404
from django.shortcuts import get_object_or_404
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers
from rest_framework.generics import ListAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.people.clock import today_of
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.reports.actions import make_report
from advisory.reports.disclosure import LEAST_OWNERS
from advisory.reports.enums import Period
from advisory.reports.forms import ChoiceForm
from advisory.reports.models import FleetReport
from advisory.reports.queries import (
    kept_reports,
    named_owners,
    overdue_of_workshop,
    part_of,
    workshop_part,
    workshops_of,
)
from advisory.reports.shown import empty_words
from advisory.reports.shown.words import stands_words
from api.scoped import find_or_404, person_of

CHOICE = [
    OpenApiParameter("designs", str, description="One of the report's choices; all without it."),
    OpenApiParameter("years", str, enum=[period.value for period in Period]),
]


class OverdueSerializer(serializers.Serializer[Any]):
    """Work that is overdue."""

    work = serializers.CharField()
    unit_kind = serializers.CharField()
    since = serializers.DateField(allow_null=True)
    unit = serializers.CharField(help_text="Empty in a club's report.")


class NamedOwnerSerializer(serializers.Serializer[Any]):
    """An owner whose name the caller may read."""

    name = serializers.CharField()
    overdue = OverdueSerializer(many=True)


class FleetChoiceSerializer(serializers.Serializer[Any]):
    """Designs that a report may be asked for."""

    key = serializers.CharField()
    name = serializers.CharField(source="label", allow_blank=True)


class TableRowSerializer(serializers.Serializer[Any]):
    """A row: what it is about, and its cells; null where a figure may not be shown.

    All in SI: distances and ages in metres, wear in metres a metre, shares of one. `days` are days.
    `lower` and `upper` are the ends of a 95 % interval, null where there is none on that side.
    """

    row = serializers.CharField()
    cells = serializers.DictField(child=serializers.JSONField(allow_null=True))


class FleetTableSerializer(serializers.Serializer[Any]):
    """One table of a report."""

    table = serializers.CharField()
    rows = TableRowSerializer(many=True)


class FleetReportSerializer(serializers.Serializer[Any]):
    """A report: its tables for one choice of designs and years."""

    report = serializers.IntegerField(allow_null=True, help_text="Null where it is not kept.")
    on = serializers.DateField()
    figures_on = serializers.DateField(
        help_text="The day of its figures: an earlier one where nothing has changed since."
    )
    finished = serializers.BooleanField()
    designs = serializers.CharField()
    years = serializers.CharField()
    choices = FleetChoiceSerializer(many=True)
    design_names = serializers.DictField(
        child=serializers.CharField(), help_text="What the designs are called that rows name."
    )
    notes = serializers.ListField(
        child=serializers.CharField(), help_text="Of which moment it is, or why it tells nothing."
    )
    tables = FleetTableSerializer(many=True)
    named = NamedOwnerSerializer(many=True)


class KeptReportSerializer(serializers.ModelSerializer[FleetReport]):
    """A report that is kept."""

    class Meta:
        model = FleetReport
        fields = ("id", "on", "half_year", "finished_at", "digest")
        read_only_fields = fields


def _tables(tables: Mapping[str, Any] | None) -> list[dict[str, Any]]:
    return [
        {
            "table": name,
            "rows": [
                {"row": row["row"], "cells": {k: v for k, v in row.items() if k != "row"}}
                for row in rows
            ],
        }
        for name, rows in (tables or {}).items()
    ]


def _answer(request: Request, report: FleetReport) -> Response:
    form = ChoiceForm.of(request.query_params.dict(), report.about)
    finished = report.finished_at is not None
    notes = stands_words(report)
    if finished and not report.about.get("choices"):
        notes.append(empty_words(LEAST_OWNERS))
    content = {
        "report": report.pk,
        "on": report.on,
        "figures_on": report.of_day,
        "finished": finished,
        "designs": form.choice["key"],
        "years": form.period.value,
        "choices": report.about.get("choices", []),
        "design_names": report.about.get("designs", {}),
        "notes": notes,
        "tables": _tables(part_of(report, form.code) if finished else None),
        "named": named_owners(report, today_of(person_of(request))) if finished else (),
    }
    return Response(FleetReportSerializer(content).data)


def _club(request: Request, pk: int) -> Organisation:
    return find_or_404(request, Permission.VIEW_FLEET_REPORT, Organisation.objects.all(), pk)


class FleetReportView(APIView):
    """The last fleet report of a club, for its technical officer."""

    @extend_schema(parameters=CHOICE, responses=FleetReportSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Return the last report; the first is made now. Fewer than five owners never show."""
        club = _club(request, pk)
        report = kept_reports(club).first() or make_report(club=club, by=person_of(request))
        return _answer(request, report)

    @extend_schema(request=None, responses={201: FleetReportSerializer})
    def post(self, request: Request, pk: int) -> Response:
        """Make the report of today, once; a large one is finished by a job."""
        answer = _answer(request, make_report(club=_club(request, pk), by=person_of(request)))
        answer.status_code = 201
        return answer


class KeptReportsView(ListAPIView[FleetReport]):
    """The reports of a club that are kept, the newest first."""

    serializer_class = KeptReportSerializer
    queryset = FleetReport.objects.none()
    filter_backends = ()

    def get_queryset(self) -> Any:
        """Return the finished ones of a club whose report the caller may read."""
        if getattr(self, "swagger_fake_view", False):
            return FleetReport.objects.none()
        return kept_reports(_club(self.request, self.kwargs["pk"]))


class KeptReportView(APIView):
    """One kept report of a club."""

    @extend_schema(
        parameters=[*CHOICE, OpenApiParameter("report", OpenApiTypes.INT, "path")],
        responses=FleetReportSerializer,
    )
    def get(self, request: Request, pk: int, report: int) -> Response:
        """Return it as it was given."""
        return _answer(request, get_object_or_404(kept_reports(_club(request, pk)), pk=report))


class WorkshopFleetView(APIView):
    """The same figures over the units on a workshop's books, with their owners' names."""

    @extend_schema(parameters=CHOICE, responses=FleetReportSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Reckon them now, over the units that the caller may look into."""
        by = person_of(request)
        shop = workshops_of(by).filter(pk=pk).first()
        if shop is None:
            raise Http404
        reckoned = workshop_part(shop, by, today_of(by))
        form = ChoiceForm.of(request.query_params.dict(), reckoned.about)
        content = {
            "report": None,
            "on": today_of(by),
            "figures_on": today_of(by),
            "finished": True,
            "designs": form.choice["key"],
            "years": form.period.value,
            "choices": reckoned.about["choices"],
            "design_names": reckoned.about["designs"],
            "notes": [] if reckoned.about["choices"] else [empty_words(1)],
            "tables": _tables(reckoned.tables_by_code(form.code)),
            "named": overdue_of_workshop(shop, by),
        }
        return Response(FleetReportSerializer(content).data)
