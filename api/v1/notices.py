"""Reminders and calendar addresses."""

from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from advisory.notices.account import own_reminders
from advisory.notices.actions.feeds import make_feed, revoke_feed
from advisory.notices.models import CalendarFeed, Reminder
from advisory.people.rules import Permission
from api.scoped import Scoped, person_of


class ReminderSerializer(serializers.ModelSerializer[Reminder]):
    """That an item of a plan was brought to the caller's notice."""

    unit = serializers.IntegerField(source="item.unit_id", read_only=True)
    work = serializers.CharField(source="item.work", read_only=True)

    class Meta:
        model = Reminder
        fields = ("id", "unit", "work", "item", "cycle", "stage", "raised_at", "read_at")


class ReminderViewSet(mixins.ListModelMixin, Scoped):
    """The caller's reminders, the newest first."""

    permission = Permission.KEEP_ACCOUNT
    queryset = Reminder.objects.select_related("item")
    serializer_class = ReminderSerializer
    filterset_fields = ("stage", "item__unit")

    def get_queryset(self) -> QuerySet[Any]:
        """Return the reminders of what is still the caller's."""
        rows = super().get_queryset()
        if getattr(self, "swagger_fake_view", False):
            return rows
        return rows & own_reminders(person_of(self.request))


class FeedSerializer(serializers.ModelSerializer[CalendarFeed]):
    """A secret address of the caller's plan as a calendar."""

    url = serializers.SerializerMethodField()

    class Meta:
        model = CalendarFeed
        fields = ("id", "url", "created_at", "revoked_at")
        read_only_fields = ("id", "created_at", "revoked_at")

    def get_url(self, feed: CalendarFeed) -> str | None:
        """Return the address; none once it is revoked."""
        if feed.revoked_at is not None:
            return None
        return reverse("notices:feed", args=[feed.secret], request=self.context.get("request"))


class FeedViewSet(mixins.ListModelMixin, Scoped):
    """The caller's calendar addresses."""

    permission = Permission.KEEP_ACCOUNT
    queryset = CalendarFeed.objects.all()
    serializer_class = FeedSerializer
    filterset_fields: tuple[str, ...] = ()

    @extend_schema(request=None, responses={201: FeedSerializer})
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Make an address."""
        feed = make_feed(by=person_of(request))
        return Response(self.get_serializer(feed).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=None, responses=FeedSerializer)
    @action(detail=True, methods=["post"])
    def revoke(self, request: Request, pk: str) -> Response:
        """Make the address lead nowhere."""
        feed = self.get_object()
        revoke_feed(feed=feed, by=person_of(request))
        feed.refresh_from_db()
        return Response(self.get_serializer(feed).data)
