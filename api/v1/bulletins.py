"""Bulletins: what organisations write, and what became of them on units."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.errors import Refused
from advisory.lubrication.models import Lubricant
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.plans.actions import bulletins, mark_done
from advisory.plans.bulletins.told import became_of, meets
from advisory.plans.models.bulletins import CRITERIA, WORDS, Bulletin, BulletinUnit
from advisory.register.enums import WorkKind
from advisory.register.models import Design
from api.fields import ScopedRelatedField
from api.scoped import ScopedReadViewSet, find_or_404, person_of
from api.v1.plans import WorkDoneSerializer


class BulletinSerializer(serializers.ModelSerializer[Bulletin]):
    """What a workshop or club tells all whose units something concerns."""

    organisation = ScopedRelatedField(
        permission=Permission.WRITE_BULLETIN, queryset=Organisation.objects.all()
    )
    # which of them may be chosen the action says, as it depends on the organisation
    design = serializers.PrimaryKeyRelatedField(
        queryset=Design.objects.all(), required=False, allow_null=True
    )
    lubricant = ScopedRelatedField(
        permission=Permission.VIEW_LUBRICANT,
        queryset=Lubricant.objects.all(),
        required=False,
        allow_null=True,
    )

    class Meta:
        model = Bulletin
        fields = ("id", "organisation", *WORDS, *CRITERIA, "created_at", "sent_at", "withdrawn_at")
        read_only_fields = ("id", "created_at", "sent_at", "withdrawn_at")


class TallySerializer(serializers.Serializer[Any]):
    """A number of owners and units; told in fives it is the least, and none below five."""

    owners = serializers.IntegerField(allow_null=True)
    units = serializers.IntegerField(allow_null=True)
    in_fives = serializers.BooleanField()


class BecameSerializer(serializers.Serializer[Any]):
    """How many it met, who has read it, and who has done what it asks."""

    met = TallySerializer()
    read = TallySerializer()
    done = TallySerializer(allow_null=True)


class BulletinViewSet(mixins.CreateModelMixin, mixins.DestroyModelMixin, ScopedReadViewSet):
    """The bulletins of the organisations for which the caller writes."""

    permission = Permission.WRITE_BULLETIN
    queryset = Bulletin.objects.all()
    serializer_class = BulletinSerializer
    filterset_fields = ("organisation",)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write one; it goes to nobody yet."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        row = bulletins.write_bulletin(by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(row).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=BulletinSerializer(partial=True), responses=BulletinSerializer)
    def partial_update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Change one that was not sent yet."""
        row = self.get_object()
        wanted = self.get_serializer(row, data=request.data, partial=True)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        if said.pop("organisation", row.organisation) != row.organisation:
            raise Refused("It stays with who wrote it.", field="organisation")
        row = bulletins.change_bulletin(bulletin=row, by=person_of(request), **said)
        return Response(self.get_serializer(row).data)

    def perform_destroy(self, instance: Bulletin) -> None:
        """Throw away one that was not sent."""
        bulletins.discard_bulletin(bulletin=instance, by=person_of(self.request))

    @extend_schema(responses=TallySerializer, filters=False)
    @action(detail=True, filterset_fields=())
    def meets(self, request: Request, pk: str) -> Response:
        """Say how many it would meet now."""
        return Response(TallySerializer(meets(self.get_object())).data)

    @extend_schema(responses=BecameSerializer, filters=False)
    @action(detail=True, filterset_fields=())
    def became(self, request: Request, pk: str) -> Response:
        """Say what became of it; of one that was not sent, nothing."""
        told = became_of(self.get_object(), person_of(request))
        return Response(BecameSerializer(told).data)

    @extend_schema(request=None, responses=BulletinSerializer)
    @action(detail=True, methods=["post"])
    def send(self, request: Request, pk: str) -> Response:
        """Send it, once; sent again it stays as it is."""
        row = self.get_object()
        bulletins.send_bulletin(bulletin=row, by=person_of(request))
        row.refresh_from_db()
        return Response(self.get_serializer(row).data)

    @extend_schema(request=None, responses=BulletinSerializer)
    @action(detail=True, methods=["post"])
    def withdraw(self, request: Request, pk: str) -> Response:
        """Take it back: what it asks leaves the plans."""
        row = self.get_object()
        bulletins.withdraw_bulletin(bulletin=row, by=person_of(request))
        row.refresh_from_db()
        return Response(self.get_serializer(row).data)


class BulletinUnitSerializer(serializers.ModelSerializer[BulletinUnit]):
    """A bulletin that concerns a unit, and what became of it there."""

    organisation = serializers.IntegerField(source="bulletin.organisation_id", read_only=True)
    title = serializers.CharField(source="bulletin.title", read_only=True)
    text = serializers.CharField(source="bulletin.text", read_only=True)
    asks = serializers.CharField(source="bulletin.asks", read_only=True)
    until = serializers.DateField(source="bulletin.until", read_only=True, allow_null=True)
    before_it_runs = serializers.BooleanField(source="bulletin.before_it_runs", read_only=True)
    withdrawn_at = serializers.DateTimeField(
        source="bulletin.withdrawn_at", read_only=True, allow_null=True
    )
    done_on = serializers.DateField(
        source="work_done.date", read_only=True, allow_null=True, default=None
    )

    class Meta:
        model = BulletinUnit
        fields = (
            "id",
            "bulletin",
            "unit",
            "organisation",
            "title",
            "text",
            "asks",
            "until",
            "before_it_runs",
            "withdrawn_at",
            "read_at",
            "done_on",
        )


class BulletinDoneSerializer(serializers.Serializer[Any]):
    """That what it asks is done."""

    date = serializers.DateField()
    shown = serializers.IntegerField(required=False, min_value=0)
    note = serializers.CharField(required=False, max_length=500)
    confirm = serializers.BooleanField(default=False)


class BulletinUnitViewSet(ScopedReadViewSet):
    """Bulletins on one's own units, and a workshop's own on its customers'."""

    permission = Permission.VIEW_USE
    queryset = BulletinUnit.objects.filter(bulletin__sent_at__isnull=False).select_related(
        "bulletin", "work_done"
    )
    serializer_class = BulletinUnitSerializer
    filterset_fields = ("unit", "bulletin")

    @extend_schema(request=None, responses=BulletinUnitSerializer)
    @action(detail=True, methods=["post"])
    def read(self, request: Request, pk: str) -> Response:
        """Note that its owner has read it."""
        row = find_or_404(request, Permission.KEEP_USE, self.queryset, pk)
        bulletins.mark_read(bulletin=row.bulletin, by=person_of(request))
        row.refresh_from_db()
        return Response(self.get_serializer(row).data)

    @extend_schema(request=BulletinDoneSerializer, responses={201: WorkDoneSerializer})
    @action(detail=True, methods=["post"])
    def done(self, request: Request, pk: str) -> Response:
        """Write down that it is done; sent twice it is done once."""
        row = find_or_404(request, Permission.KEEP_USE, self.queryset, pk)
        wanted = BulletinDoneSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        done = mark_done(
            unit=row.unit,
            work=WorkKind.BULLETIN,
            by=person_of(request),
            bulletin=row,
            **wanted.validated_data,
        )
        return Response(WorkDoneSerializer(done).data, status=status.HTTP_201_CREATED)
