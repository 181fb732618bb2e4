"""Build sheets: written figure by figure, then signed."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.parsers import MultiPartParser
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.quantities import LENGTH
from advisory.people.rules import Permission
from advisory.register import actions
from advisory.register.enums import MeasuredQuantity
from advisory.register.models import Build, BuildMeasurement, Position, SheetEntry, Unit
from api.fields import QuantityField, ScopedRelatedField
from api.scoped import ScopedReadViewSet, find_or_404, person_of


class MeasurementSerializer(serializers.ModelSerializer[BuildMeasurement]):
    """One figure of a build sheet, and what was typed."""

    value = QuantityField(LENGTH, "mm", read_only=True)
    uncertainty = QuantityField(LENGTH, "mm", read_only=True, allow_null=True)

    class Meta:
        model = BuildMeasurement
        fields = (
            "position",
            "quantity",
            "value",
            "uncertainty",
            "as_typed",
            "instrument",
            "reckoned",
        )


class NewMeasurementSerializer(serializers.Serializer[Any]):
    """A figure to write down, with its unit: "1.5 thou", "0.04 mm"."""

    position = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN, queryset=Position.objects.all()
    )
    typed = serializers.CharField(max_length=40)
    quantity = serializers.ChoiceField(choices=MeasuredQuantity.choices, required=False)
    uncertainty = serializers.CharField(max_length=40, required=False)
    instrument = serializers.CharField(max_length=80, required=False)
    confirm = serializers.BooleanField(default=False)


class EntrySerializer(serializers.ModelSerializer[SheetEntry]):
    """What stands in one place of a sheet, as it was typed."""

    class Meta:
        model = SheetEntry
        fields = ("position", "name", "text", "value", "doubt", "at", "edition")


class NewEntrySerializer(serializers.Serializer[Any]):
    """What to write in one place: a size whole or against nominal, readings, a choice, words.

    Without a position it is at the head of the sheet. `seen` is the edition that the writer had
    before them; where somebody else wrote since, nothing is written unless `over` says so.
    """

    position = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN,
        queryset=Position.objects.all(),
        required=False,
        allow_null=True,
    )
    name = serializers.CharField(max_length=40)
    text = serializers.CharField(max_length=4000, allow_blank=True, trim_whitespace=False)
    seen = serializers.IntegerField(required=False, min_value=0)
    confirm = serializers.BooleanField(default=False)
    over = serializers.BooleanField(default=False)


class CorrectSerializer(serializers.Serializer[Any]):
    """Why a signed sheet is put right."""

    reason = serializers.CharField(max_length=300)


class SignSerializer(serializers.Serializer[Any]):
    """Whether gaps in the sheet are meant."""

    confirm = serializers.BooleanField(default=False)


class BuildSerializer(serializers.ModelSerializer[Build]):
    """A build sheet."""

    unit = ScopedRelatedField(permission=Permission.BUILD_UNIT, queryset=Unit.objects.all())
    measurements = MeasurementSerializer(many=True, read_only=True)
    entries = EntrySerializer(many=True, read_only=True)

    to_newest = serializers.BooleanField(
        write_only=True, default=False, help_text="Build it to the newest version of its design."
    )

    class Meta:
        model = Build
        fields = (
            "id",
            "unit",
            "built_on",
            "revision",
            "state",
            "new_white_metal",
            "notes",
            "to_newest",
            "signed_at",
            "digest",
            "design",
            "corrects",
            "reason",
            "checked_at",
            "measurements",
            "entries",
        )
        read_only_fields = (
            "id",
            "revision",
            "state",
            "signed_at",
            "digest",
            "design",
            "corrects",
            "reason",
            "checked_at",
        )


class NewPhotosSerializer(serializers.Serializer[Any]):
    """A photo for a build sheet, of one of its positions or of all of it."""

    photo = serializers.FileField()
    position = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN, queryset=Position.objects.all(), required=False
    )
    words = serializers.CharField(required=False, max_length=120, allow_blank=True)


class BuildViewSet(mixins.CreateModelMixin, ScopedReadViewSet):
    """The build sheets of the units that the caller may see."""

    permission = Permission.VIEW_UNIT
    queryset = Build.objects.prefetch_related("measurements", "entries")
    serializer_class = BuildSerializer
    filterset_fields = ("unit", "state")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Start a sheet."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        build = actions.start_build(by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(build).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=NewMeasurementSerializer, responses=BuildSerializer)
    @action(detail=True, methods=["post"])
    def measurements(self, request: Request, pk: str) -> Response:
        """Write one figure down; of the same position and quantity, the last one stands."""
        build = find_or_404(request, Permission.BUILD_UNIT, Build.objects.all(), pk)
        wanted = NewMeasurementSerializer(data=request.data, context=self.get_serializer_context())
        wanted.is_valid(raise_exception=True)
        actions.record_measurement(build=build, by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(self.get_object()).data)

    @extend_schema(request=NewPhotosSerializer, responses=BuildSerializer)
    @action(detail=True, methods=["post"], parser_classes=[MultiPartParser])
    def photos(self, request: Request, pk: str) -> Response:
        """Put a photo onto a sheet that is still being written; it is drawn anew, smaller."""
        build = find_or_404(request, Permission.BUILD_UNIT, Build.objects.all(), pk)
        wanted = NewPhotosSerializer(data=request.data, context=self.get_serializer_context())
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        actions.add_photos(
            build=build,
            by=person_of(request),
            photos=[said["photo"]],
            position=said.get("position"),
            words=said.get("words", ""),
        )
        return Response(self.get_serializer(self.get_object()).data)

    @extend_schema(request=NewEntrySerializer, responses=BuildSerializer)
    @action(detail=True, methods=["post"])
    def entries(self, request: Request, pk: str) -> Response:
        """Write in one place of the sheet, as it would be typed there; no text clears it."""
        build = find_or_404(request, Permission.BUILD_UNIT, Build.objects.all(), pk)
        wanted = NewEntrySerializer(data=request.data, context=self.get_serializer_context())
        wanted.is_valid(raise_exception=True)
        actions.write_entry(build=build, by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(self.get_object()).data)

    @extend_schema(request=None, responses=BuildSerializer)
    @action(detail=True, methods=["post"])
    def check(self, request: Request, pk: str) -> Response:
        """Say that one looked through the sheet, for somebody else to sign it."""
        build = find_or_404(request, Permission.BUILD_UNIT, Build.objects.all(), pk)
        actions.check_build(build=build, by=person_of(request))
        return Response(self.get_serializer(self.get_object()).data)

    @extend_schema(request=CorrectSerializer, responses={201: BuildSerializer})
    @action(detail=True, methods=["post"])
    def correct(self, request: Request, pk: str) -> Response:
        """Begin a new revision of a signed sheet, which stays as it is."""
        build = find_or_404(request, Permission.BUILD_UNIT, Build.objects.all(), pk)
        wanted = CorrectSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        made = actions.correct_build(build=build, by=person_of(request), **wanted.validated_data)
        again = self.get_queryset().get(pk=made.pk)
        return Response(self.get_serializer(again).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=SignSerializer, responses=BuildSerializer)
    @action(detail=True, methods=["post"])
    def sign(self, request: Request, pk: str) -> Response:
        """Sign the sheet; from then on it can't be changed."""
        build = find_or_404(request, Permission.BUILD_UNIT, Build.objects.all(), pk)
        wanted = SignSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        actions.sign_build(build=build, by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(self.get_object()).data)
