"""The club's fleet report."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.people.clock import today_of
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.reports.queries import fleet_report
from api.scoped import find_or_404, person_of


class ShareSerializer(serializers.Serializer[Any]):
    """So many of so many."""

    part = serializers.IntegerField()
    of = serializers.IntegerField()


class RowSerializer(serializers.Serializer[Any]):
    """The figures of one kind of filter; null where they may not be shown."""

    filter = serializers.CharField(source="label", help_text="Empty for all of them.")
    owners = serializers.IntegerField(allow_null=True)
    units = serializers.IntegerField(allow_null=True)
    in_time = ShareSerializer(allow_null=True)
    overdue = ShareSerializer(allow_null=True)


class OverdueSerializer(serializers.Serializer[Any]):
    """Work that is overdue."""

    work = serializers.CharField()
    unit_kind = serializers.CharField()
    since = serializers.DateField(allow_null=True)


class NamedOwnerSerializer(serializers.Serializer[Any]):
    """An owner who agreed to be named."""

    name = serializers.CharField()
    overdue = OverdueSerializer(many=True)


class FleetReportSerializer(serializers.Serializer[Any]):
    """What a club may know of its members' units."""

    since = serializers.DateField()
    until = serializers.DateField()
    total = RowSerializer()
    rows = RowSerializer(many=True)
    named = NamedOwnerSerializer(many=True)


class FleetReportView(APIView):
    """The fleet report of a club, for its technical officer."""

    @extend_schema(responses=FleetReportSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Reckon the report of today; no figure with fewer than five owners behind it."""
        club = find_or_404(request, Permission.VIEW_FLEET_REPORT, Organisation.objects.all(), pk)
        report = fleet_report(club, today_of(person_of(request)))
        return Response(FleetReportSerializer(report).data)
