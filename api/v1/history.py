"""What happened to a unit, newest first."""

from typing import Any

from django.core.paginator import Paginator
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.people.rules import Permission
from advisory.plans.history import SOURCES, history_of
from advisory.register.models import Unit
from api.scoped import find_or_404, person_of

A_PAGE = 100


class HistoryAskedSerializer(serializers.Serializer[Any]):
    """Which side of the history, and which page of it."""

    only = serializers.ChoiceField(choices=[source.key for source in SOURCES], required=False)
    page = serializers.IntegerField(required=False, min_value=1, default=1)


class HappenedSerializer(serializers.Serializer[Any]):
    """One thing that happened, in the caller's units."""

    day = serializers.DateField()
    side = serializers.CharField(source="source", help_text="one of those that `only` takes")
    title = serializers.CharField()
    words = serializers.CharField()
    reading = serializers.CharField(help_text="what the odometer showed")
    url = serializers.CharField(help_text="its page, where it has one")


class HistorySerializer(serializers.Serializer[Any]):
    """A page of a unit's history, newest first."""

    count = serializers.IntegerField()
    pages = serializers.IntegerField()
    results = HappenedSerializer(many=True)


class HistoryView(APIView):
    """A unit's history."""

    @extend_schema(parameters=[HistoryAskedSerializer], responses=HistorySerializer)
    def get(self, request: Request, pk: int) -> Response:
        """List what happened to a unit as far as the caller may see it."""
        units = Unit.objects.select_related("design", "owner")
        unit = find_or_404(request, Permission.VIEW_UNIT, units, pk)
        wanted = HistoryAskedSerializer(data=request.query_params)
        wanted.is_valid(raise_exception=True)
        asked = wanted.validated_data
        told = history_of(unit, person_of(request), only=asked.get("only", ""))
        pages = Paginator(told, A_PAGE)
        page = pages.get_page(asked["page"])
        answer = {"count": pages.count, "pages": pages.num_pages, "results": list(page)}
        return Response(HistorySerializer(answer).data)
