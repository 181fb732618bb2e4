"""Odometers, readings, logbooks, lay-ups."""

from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.csv_files.text import LARGEST_FILE
from advisory.common.errors import Refused
from advisory.people.clock import today_of
from advisory.people.rules import Permission
from advisory.register.models import Car, Odometer, Unit
from advisory.usage import actions
from advisory.usage.actions.hours import SECONDS_AN_HOUR
from advisory.usage.enums import DoubtfulLines, ReadingSource
from advisory.usage.logbook_csv import DateOrder, FileRefused, read_logbook
from advisory.usage.models import HourReading, LayUp, Reading
from api.fields import ScopedRelatedField
from api.scoped import Scoped, ScopedReadViewSet, find_or_404, person_of


def own_car() -> ScopedRelatedField:
    """Name a car whose use the caller keeps."""
    return ScopedRelatedField(permission=Permission.KEEP_USE, queryset=Car.objects.all())


class OdometerSerializer(serializers.ModelSerializer[Odometer]):
    """A distance instrument of a car; a new one takes the place of the one before."""

    car = own_car()
    confirm = serializers.BooleanField(write_only=True, default=False)

    class Meta:
        model = Odometer
        fields = (
            "id",
            "car",
            "unit",
            "digits",
            "fitted_on",
            "shown_when_fitted",
            "predecessor_showed",
            "confirm",
        )
        # the first instrument of a car was there from the beginning, and has no day
        extra_kwargs = {name: {"required": True} for name in ("unit", "digits", "fitted_on")}

    def validate_fitted_on(self, day: date | None) -> date:
        """Refuse to leave the day open."""
        if day is None:
            raise serializers.ValidationError(_("Say on which day it was fitted."))
        return day


class OdometerViewSet(mixins.CreateModelMixin, ScopedReadViewSet):
    """The odometers of the cars that the caller may see."""

    permission = Permission.VIEW_USE
    queryset = Odometer.objects.all()
    serializer_class = OdometerSerializer
    filterset_fields = ("car",)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say that another odometer was fitted."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        odometer = actions.replace_odometer(
            date=said.pop("fitted_on"), by=person_of(request), **said
        )
        return Response(self.get_serializer(odometer).data, status=status.HTTP_201_CREATED)


class ReadingSerializer(serializers.ModelSerializer[Reading]):
    """The number that an odometer showed on a day."""

    car = ScopedRelatedField(
        permission=Permission.KEEP_USE,
        queryset=Car.objects.all(),
        source="odometer.car",
        pk_field=serializers.IntegerField(),
    )
    confirm = serializers.BooleanField(
        write_only=True, default=False, help_text="The number is right, though it is not believed."
    )
    went_round = serializers.BooleanField(
        default=False,
        help_text=(
            "The odometer has gone past its last number since; doubted where nobody drives so far,"
            " unless `confirm` says so too."
        ),
    )

    class Meta:
        model = Reading
        fields = (
            "id",
            "car",
            "odometer",
            "date",
            "shown",
            "note",
            "source",
            "confirmed",
            "went_round",
            "confirm",
        )
        read_only_fields = ("id", "odometer", "source", "confirmed")


class ReadingViewSet(mixins.CreateModelMixin, mixins.DestroyModelMixin, ScopedReadViewSet):
    """Readings of the cars that the caller may see."""

    permission = Permission.VIEW_USE
    queryset = Reading.objects.select_related("odometer")
    serializer_class = ReadingSerializer
    filterset_fields = {
        "odometer": ("exact",),
        "odometer__car": ("exact",),
        "date": ("gte", "lte"),
    }

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write a reading down; a number that nobody believes is asked about first (409)."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        reading = actions.record_reading(
            car=said["odometer"]["car"],
            date=said["date"],
            shown=said["shown"],
            note=said.get("note", ""),
            source=ReadingSource.API,
            confirm=said["confirm"],
            went_round=said["went_round"],
            by=person_of(request),
        )
        return Response(self.get_serializer(reading).data, status=status.HTTP_201_CREATED)

    def perform_destroy(self, instance: Reading) -> None:
        """Strike a reading that was a slip of the finger."""
        actions.delete_reading(reading=instance, by=person_of(self.request))


class HoursField(serializers.FloatField):
    """Hours outside, seconds inside."""

    def to_internal_value(self, data: Any) -> float:
        """Read hours."""
        return super().to_internal_value(data) * SECONDS_AN_HOUR

    def to_representation(self, value: Any) -> Any:
        """Write hours."""
        return value / SECONDS_AN_HOUR


class HourReadingSerializer(serializers.ModelSerializer[HourReading]):
    """What a unit's hour counter showed on a day, in hours; `anew`: of another counter."""

    unit = ScopedRelatedField(permission=Permission.KEEP_USE, queryset=Unit.objects.all())
    hours = HoursField(source="shown", min_value=0)
    confirm = serializers.BooleanField(write_only=True, default=False)

    class Meta:
        model = HourReading
        fields = ("id", "unit", "date", "hours", "anew", "confirm")


class HourReadingViewSet(mixins.CreateModelMixin, mixins.DestroyModelMixin, ScopedReadViewSet):
    """What the hour counters of the units showed that the caller may see."""

    permission = Permission.VIEW_USE
    queryset = HourReading.objects.all()
    serializer_class = HourReadingSerializer
    filterset_fields = ("unit",)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write a number down."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        reading = actions.record_hours(
            unit=said["unit"],
            date=said["date"],
            running_time=said["shown"],
            anew=said.get("anew", False),
            confirm=said["confirm"],
            by=person_of(request),
        )
        return Response(self.get_serializer(reading).data, status=status.HTTP_201_CREATED)

    def perform_destroy(self, instance: HourReading) -> None:
        """Strike a number that was a slip."""
        actions.strike_hours(reading=instance, by=person_of(self.request))


class LayUpSerializer(serializers.ModelSerializer[LayUp]):
    """A spell in which a car is put away."""

    car = own_car()
    shown = serializers.IntegerField(write_only=True, required=False, min_value=0)
    confirm = serializers.BooleanField(write_only=True, default=False)

    class Meta:
        model = LayUp
        fields = ("id", "car", "from_date", "until_date", "shown", "confirm")


class ReturnSerializer(serializers.Serializer[Any]):
    """The day on which a car comes back into use."""

    date = serializers.DateField()
    shown = serializers.IntegerField(required=False, min_value=0)
    confirm = serializers.BooleanField(default=False)


class LayUpViewSet(mixins.ListModelMixin, mixins.CreateModelMixin, Scoped):
    """Lay-ups of the cars that the caller may see."""

    permission = Permission.VIEW_USE
    queryset = LayUp.objects.all()
    serializer_class = LayUpSerializer
    filterset_fields = ("car",)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Put a car away."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        lay_up = actions.lay_up_car(
            car=said["car"],
            date=said["from_date"],
            until=said.get("until_date"),
            shown=said.get("shown"),
            confirm=said["confirm"],
            by=person_of(request),
        )
        return Response(self.get_serializer(lay_up).data, status=status.HTTP_201_CREATED)

    @extend_schema(request=ReturnSerializer, responses=LayUpSerializer)
    @action(detail=True, methods=["post"], url_path="return")
    def end(self, request: Request, pk: str) -> Response:
        """Bring the car back into use."""
        lay_up = self.get_object()
        if lay_up.until_date is not None and lay_up.until_date <= today_of(person_of(request)):
            raise Refused("This lay-up has ended already.", code="not_laid_up")
        wanted = ReturnSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        ended = actions.return_car_to_use(
            car=lay_up.car, by=person_of(request), **wanted.validated_data
        )
        return Response(self.get_serializer(ended).data)


class LogbookSerializer(serializers.Serializer[Any]):
    """A logbook as CSV."""

    file = serializers.FileField()
    dates = serializers.ChoiceField(choices=DateOrder.choices, required=False)
    leave_out_unreadable = serializers.BooleanField(default=False)
    doubtful = serializers.ChoiceField(choices=DoubtfulLines.choices, default=DoubtfulLines.ASK)


class ImportedSerializer(serializers.Serializer[Any]):
    """What came of an import."""

    added = serializers.IntegerField()
    there = serializers.IntegerField()
    left_out = serializers.IntegerField()


class LogbookMixin:
    """A car's logbook, taken in whole or not at all."""

    @extend_schema(
        request={"multipart/form-data": LogbookSerializer}, responses={201: ImportedSerializer}
    )
    @action(detail=True, methods=["post"])
    def logbook(self, request: Request, pk: str) -> Response:
        """Take a logbook in: all of it or nothing; the same one twice changes nothing."""
        car = find_or_404(request, Permission.KEEP_USE, Car.objects.all(), pk)
        wanted = LogbookSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        if said["file"].size > LARGEST_FILE:
            raise Refused(
                "The file is larger than 8 MB. Split it, and import the parts one by one.",
                field="file",
                code="too_large",
            )
        content = said["file"].read()
        order = DateOrder(said["dates"]) if "dates" in said else None
        try:
            logbook = read_logbook(content, today=today_of(person_of(request)), order=order)
        except FileRefused as error:
            raise Refused(error.message, field="file", code=error.code) from error
        imported = actions.import_logbook(
            car=car,
            logbook=logbook,
            name=said["file"].name or "",
            content=content,
            leave_out_unreadable=said["leave_out_unreadable"],
            doubtful=said["doubtful"],
            by=person_of(request),
        )
        return Response(ImportedSerializer(imported).data, status=status.HTTP_201_CREATED)
