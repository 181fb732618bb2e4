"""A workshop's own system: where it listens, its secret, and what was told to it."""

from typing import Any

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.notices.actions import webhooks
from advisory.notices.models import Webhook, WebhookMessage
from advisory.notices.models.webhooks import LONGEST_ADDRESS
from advisory.people.enums import OrganisationKind
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from api.scoped import ScopedReadViewSet, find_or_404, person_of


class WebhookSerializer(serializers.ModelSerializer[Webhook]):
    """Where a workshop's own system listens."""

    url = serializers.CharField(max_length=LONGEST_ADDRESS)

    class Meta:
        model = Webhook
        fields = ("url", "former_until", "created_at")
        read_only_fields = ("former_until", "created_at")


class SecretSerializer(serializers.Serializer[Any]):
    """The secret that messages are signed with."""

    secret = serializers.CharField(read_only=True)


class WebhookMessageSerializer(serializers.ModelSerializer[WebhookMessage]):
    """A message, and what came of each try."""

    class TrySerializer(serializers.Serializer[Any]):
        """One try; the status is 0 where none came back."""

        at = serializers.DateTimeField()
        status = serializers.IntegerField()
        said = serializers.CharField()

    tries = TrySerializer(many=True, read_only=True)
    payload = serializers.DictField(read_only=True)

    class Meta:
        model = WebhookMessage
        fields = (
            "id",
            "organisation",
            "message_id",
            "event",
            "state",
            "tried",
            "created_at",
            "next_try_at",
            "arrived_at",
            "payload",
            "tries",
        )
        read_only_fields = fields


def _workshop(request: Request, pk: int) -> Organisation:
    workshops = Organisation.objects.filter(kind=OrganisationKind.WORKSHOP)
    return find_or_404(request, Permission.MANAGE_ORGANISATION, workshops, pk)


def _webhook(request: Request, pk: int) -> Webhook:
    rows = Webhook.objects.select_related("organisation")
    webhook = rows.filter(organisation=_workshop(request, pk), stopped_at=None).first()
    if webhook is None:
        raise Http404
    return webhook


class WebhookView(APIView):
    """Where the workshop's own system listens."""

    @extend_schema(responses=WebhookSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Show the address."""
        return Response(WebhookSerializer(_webhook(request, pk)).data)

    @extend_schema(request=WebhookSerializer, responses=WebhookSerializer)
    def put(self, request: Request, pk: int) -> Response:
        """Say where it listens."""
        workshop = _workshop(request, pk)
        wanted = WebhookSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        webhook = webhooks.set_webhook(
            organisation=workshop, by=person_of(request), **wanted.validated_data
        )
        return Response(WebhookSerializer(webhook).data)

    @extend_schema(responses={204: None})
    def delete(self, request: Request, pk: int) -> Response:
        """Tell it nothing more."""
        webhooks.stop_webhook(webhook=_webhook(request, pk), by=person_of(request))
        return Response(status=status.HTTP_204_NO_CONTENT)


class WebhookSecretView(APIView):
    """The secret that messages are signed with."""

    @extend_schema(request=None, responses={201: SecretSerializer})
    def post(self, request: Request, pk: int) -> Response:
        """Make another secret; the one before signs beside it for a day."""
        made = webhooks.change_secret(webhook=_webhook(request, pk), by=person_of(request))
        return Response(SecretSerializer({"secret": made}).data, status=status.HTTP_201_CREATED)


class WebhookTrialView(APIView):
    """A message that tells of nothing."""

    @extend_schema(request=None, responses={201: WebhookMessageSerializer})
    def post(self, request: Request, pk: int) -> Response:
        """Send a trial; it goes with the next sweep."""
        message = webhooks.send_trial(webhook=_webhook(request, pk), by=person_of(request))
        made = WebhookMessageSerializer(message).data
        return Response(made, status=status.HTTP_201_CREATED)


class WebhookMessageViewSet(ScopedReadViewSet):
    """What was told to the systems of the workshops that the caller manages."""

    permission = Permission.MANAGE_ORGANISATION
    queryset = WebhookMessage.objects.all()
    serializer_class = WebhookMessageSerializer
    filterset_fields = ("organisation", "event", "state")

    @extend_schema(request=None, responses=WebhookMessageSerializer)
    @action(detail=True, methods=["post"])
    def again(self, request: Request, pk: str) -> Response:
        """Have it tried anew, under its old id."""
        message = self.get_object()
        webhooks.send_again(message=message, by=person_of(request))
        message.refresh_from_db()
        return Response(WebhookMessageSerializer(message).data)
