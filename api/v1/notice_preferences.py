"""What the caller wants by mail, and when."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.notices.actions.preferences import (
    CHOICES,
    LAST_HOUR_OF_ALL,
    choose_notices,
    preference_of,
)
from advisory.notices.models import NoticePreference
from advisory.notices.quiet_hours import ALL_DAYS
from api.scoped import person_of


class NoticePreferenceSerializer(serializers.ModelSerializer[NoticePreference]):
    """What comes by mail, on which days and in which hours of the caller's zone."""

    mail_days = serializers.IntegerField(
        min_value=1,
        max_value=ALL_DAYS,
        help_text="The days of the week, a bit each: 1 is Monday, 2 Tuesday, 64 Sunday.",
    )
    from_hour = serializers.IntegerField(min_value=0, max_value=LAST_HOUR_OF_ALL - 1)
    until_hour = serializers.IntegerField(
        min_value=1, max_value=LAST_HOUR_OF_ALL, help_text="The hour that is no longer in it."
    )
    address_refused = serializers.BooleanField(source="is_refused", read_only=True)
    refused_words = serializers.CharField(
        read_only=True, help_text="What the mail server said last, where it refused the address."
    )

    class Meta:
        model = NoticePreference
        fields = (*CHOICES, "address_refused", "refused_words")


class NoticePreferenceView(APIView):
    """What the caller wants by mail."""

    @extend_schema(responses=NoticePreferenceSerializer)
    def get(self, request: Request) -> Response:
        """Show what comes by mail."""
        kept = preference_of(person_of(request))
        return Response(NoticePreferenceSerializer(kept).data)

    @extend_schema(
        request=NoticePreferenceSerializer(partial=True), responses=NoticePreferenceSerializer
    )
    def patch(self, request: Request) -> Response:
        """Choose what comes by mail; what is not named stays as it was."""
        kept = preference_of(person_of(request))
        wanted = NoticePreferenceSerializer(kept, data=request.data, partial=True)
        wanted.is_valid(raise_exception=True)
        said: dict[str, Any] = wanted.validated_data
        choose_notices(by=person_of(request), **said)
        return self.get(request)
