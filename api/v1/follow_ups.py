"""The units that need a word, and what was done about them."""

from typing import Any

from django.http import Http404
from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework import serializers, status
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.notices.enums import FollowReason
from advisory.notices.models import FollowUp
from advisory.people.clock import today_of
from advisory.people.rules import Permission
from advisory.register.models import Unit
from advisory.reports.actions import log_call, set_aside, write_to_owner
from advisory.reports.actions.follow_ups import LONGEST_NOTE
from advisory.reports.follow_up.listed import Needs, follow_list
from advisory.reports.forms import FollowForm
from advisory.reports.queries import workshops_of
from api.scoped import ScopedReadViewSet, find_or_404, person_of


class FollowUpSerializer(serializers.ModelSerializer[FollowUp]):
    """One thing that was done about one reason."""

    by = serializers.StringRelatedField[Any](read_only=True, allow_null=True)

    class Meta:
        model = FollowUp
        fields = ("id", "unit", "reason", "occasion", "kind", "by", "raised_at", "until", "note")
        read_only_fields = fields


class FollowUpViewSet(ScopedReadViewSet):
    """What workshops wrote, said and set aside: for the unit's owner and its workshop."""

    queryset = FollowUp.objects.select_related("by")
    serializer_class = FollowUpSerializer
    permission = Permission.VIEW_USE
    filterset_fields = ("unit", "reason", "kind")


class StandingSerializer(serializers.Serializer[Any]):
    """A reason that stands, and until when it rests because something was done."""

    reason = serializers.ChoiceField(FollowReason.choices, source="standing.reason")
    occasion = serializers.CharField(source="standing.occasion")
    since = serializers.DateField(source="standing.since")
    work = serializers.CharField(source="standing.work", allow_blank=True)
    position = serializers.CharField(source="standing.position", allow_blank=True)
    finding = serializers.IntegerField(source="standing.finding", allow_null=True)
    rests_until = serializers.DateField(allow_null=True)
    done = FollowUpSerializer(many=True)


class NeedsSerializer(serializers.Serializer[Any]):
    """A unit that needs a word, and why: the gravest reason first."""

    unit = serializers.IntegerField()
    rests_until = serializers.DateField(allow_null=True)
    reasons = StandingSerializer(many=True)


class DoSerializer(serializers.Serializer[Any]):
    """What is done."""

    do = serializers.ChoiceField([FollowForm.WRITE, FollowForm.CALL, FollowForm.ASIDE])
    until = serializers.DateField(required=False, help_text="Where it is set aside.")
    note = serializers.CharField(required=False, allow_blank=True, max_length=LONGEST_NOTE)
    client_key = serializers.CharField(
        required=False, allow_blank=True, max_length=64, help_text="The same key does it once."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Ask for a day where there must be one."""
        if attrs["do"] == FollowForm.ASIDE and not attrs.get("until"):
            raise serializers.ValidationError({"until": "Say the day on which it stands again."})
        return attrs


class FollowListView(GenericAPIView[Unit]):
    """The units of a workshop that need a word."""

    serializer_class = NeedsSerializer
    queryset = Unit.objects.none()
    filter_backends = ()

    @extend_schema(
        parameters=[
            OpenApiParameter("reason", str, enum=FollowReason.values),
            OpenApiParameter("resting", bool, description="Those that rest instead."),
        ],
        responses=NeedsSerializer(many=True),
    )
    def get(self, request: Request, pk: int) -> Response:
        """List them, the gravest first."""
        by = person_of(request)
        shop = workshops_of(by).filter(pk=pk).first()
        if shop is None:
            raise Http404
        asked = request.query_params
        reason = FollowReason(asked["reason"]) if asked.get("reason") in FollowReason else None
        resting = asked.get("resting", "").lower() in {"1", "true", "yes"}
        rows: Any = follow_list(shop, by, today_of(by)).of(reason, resting=resting)
        page: list[Needs] = self.paginate_queryset(rows) or []
        return self.get_paginated_response(NeedsSerializer(page, many=True).data)


class FollowUnitView(APIView):
    """Doing something about a unit."""

    @extend_schema(request=DoSerializer, responses={201: FollowUpSerializer(many=True)})
    def post(self, request: Request, pk: int) -> Response:
        """Write to its owner, once; log a call; or set aside what stands until a day."""
        unit = find_or_404(request, Permission.FOLLOW_UP, Unit.objects.all(), pk)
        asked = DoSerializer(data=request.data)
        asked.is_valid(raise_exception=True)
        data, by = asked.validated_data, person_of(request)
        kept = {"note": data.get("note", ""), "client_key": data.get("client_key", "")}
        if data["do"] == FollowForm.WRITE:
            done = write_to_owner(unit=unit, by=by)
        elif data["do"] == FollowForm.CALL:
            done = log_call(unit=unit, by=by, **kept)
        else:
            done = set_aside(unit=unit, by=by, until=data["until"], **kept)
        answer = FollowUpSerializer(done, many=True).data
        return Response(answer, status=status.HTTP_201_CREATED)
