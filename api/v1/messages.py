"""What the caller was told: messages in the account, mails with what became of them, snoozes."""

from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.pagination import BasePagination
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.common.errors import Refused
from advisory.notices.account import message_keys, messages_of
from advisory.notices.actions.preferences import mark_read
from advisory.notices.actions.snoozes import lift_snooze, snooze_item
from advisory.notices.enums import MailState, SnoozeReason
from advisory.notices.models import Mail, Snooze
from advisory.notices.sendings import sendings_of, with_what_they_tell
from advisory.people.rules import Permission
from advisory.plans.models import PlanItem
from api.fields import ScopedRelatedField
from api.pagination import Pages
from api.scoped import Scoped, person_of


class MessageSerializer(serializers.Serializer[Any]):
    """One message, as it stands in the account."""

    kind = serializers.CharField()
    at = serializers.DateTimeField()
    title = serializers.CharField()
    text = serializers.CharField()
    url = serializers.CharField(help_text="The page that it leads to.")
    unread = serializers.BooleanField()


class MessagesView(APIView):
    """What the caller was told, whether or not it went by mail, newest first."""

    pagination_class: type[BasePagination] = Pages

    @extend_schema(operation_id="me_messages_list", responses=MessageSerializer(many=True))
    def get(self, request: Request) -> Response:
        """Show a page of messages; none is marked as read by that."""
        by = person_of(request)
        pages = Pages()
        keys: list[Any] | None = pages.paginate_queryset(message_keys(by), request, view=self)
        told = messages_of(by, keys or [])
        return pages.get_paginated_response(MessageSerializer(told.messages, many=True).data)

    @extend_schema(operation_id="me_messages_read", request=None, responses={204: None})
    def post(self, request: Request) -> Response:
        """Note that the caller has had all messages before them."""
        by = person_of(request)
        told = messages_of(by, message_keys(by))
        mark_read(by=by, unread=told.unread)
        return Response(status=status.HTTP_204_NO_CONTENT)


class SendingSerializer(serializers.Serializer[Any]):
    """One mail to the caller: what it was, why, when, and what became of it."""

    id = serializers.IntegerField(source="key")
    what = serializers.CharField()
    why = serializers.CharField()
    about = serializers.ListField(child=serializers.CharField())
    written_at = serializers.DateTimeField()
    at = serializers.DateTimeField(
        allow_null=True, help_text="When it went; of one that waits, when it may go."
    )
    state = serializers.ChoiceField(choices=MailState.choices)
    result = serializers.CharField()


class SendingViewSet(Scoped):
    """Every mail to the caller, newest first."""

    permission = Permission.KEEP_ACCOUNT
    queryset = Mail.objects.order_by("-pk")
    serializer_class = SendingSerializer
    filterset_fields = ("state", "kind")

    def list(self, request: Request) -> Response:
        """List them."""
        rows = with_what_they_tell(self.filter_queryset(self.get_queryset()), person_of(request))
        page = self.paginate_queryset(rows)
        return self.get_paginated_response(
            SendingSerializer(sendings_of(page or []), many=True).data
        )


class SnoozeSerializer(serializers.ModelSerializer[Snooze]):
    """That the caller wants to hear nothing of an item for a while."""

    item = ScopedRelatedField(permission=Permission.KEEP_USE, queryset=PlanItem.objects.all())
    reason = serializers.ChoiceField(choices=SnoozeReason.choices)
    until = serializers.DateField(required=False, allow_null=True)
    cycle = serializers.IntegerField(
        required=False, min_value=1, help_text="The one that the caller saw; else the present one."
    )

    class Meta:
        model = Snooze
        fields = (
            "id",
            "item",
            "cycle",
            "reason",
            "note",
            "until",
            "until_reading",
            "created_at",
            "ends_at",
            "lifted_at",
        )
        read_only_fields = ("id", "created_at", "ends_at", "lifted_at")


class SnoozeViewSet(mixins.ListModelMixin, Scoped):
    """What the caller put off, newest first; it holds back what is said, never what is due."""

    permission = Permission.KEEP_ACCOUNT
    queryset = Snooze.objects.order_by("-pk")
    serializer_class = SnoozeSerializer
    filterset_fields = ("item", "item__unit")

    @extend_schema(responses={201: SnoozeSerializer})
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put an item's reminders off, to a day or to the next reading."""
        given = self.get_serializer(data=request.data)
        given.is_valid(raise_exception=True)
        said = given.validated_data
        until: date | None = said.get("until")
        snooze = snooze_item(
            item=said["item"],
            reason=said["reason"],
            by=person_of(request),
            until=until,
            until_reading=said.get("until_reading", False),
            note=said.get("note", ""),
            cycle=said.get("cycle"),
        )
        if snooze is None:
            raise Refused(_("It was done meanwhile; there is nothing to put off."), field="cycle")
        return Response(self.get_serializer(snooze).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=None, responses=SnoozeSerializer)
    @action(detail=True, methods=["post"])
    def lift(self, request: Request, pk: str) -> Response:
        """Take it back."""
        snooze = self.get_object()
        lift_snooze(snooze=snooze, by=person_of(request))
        snooze.refresh_from_db()
        return Response(self.get_serializer(snooze).data)
