"""Oils, arrangements, oil services, advice."""

from typing import Any

from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.quantities import (
    DENSITY,
    KINEMATIC_VISCOSITY,
    LENGTH,
    MASS,
    TEMPERATURE,
    VOLUME,
    VOLUME_PER_TIME,
)
from advisory.lubrication import actions
from advisory.lubrication.models import Lubricant, OilAdvice, OilArrangement, OilService
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.register.models import Unit
from api.fields import QuantityField, ScopedRelatedField
from api.scoped import Scoped, ScopedReadViewSet, person_of


def unit_where(permission: Permission) -> ScopedRelatedField:
    """Name a unit on which the caller holds `permission`."""
    return ScopedRelatedField(permission=permission, queryset=Unit.objects.all())


def oil() -> ScopedRelatedField:
    """Name an oil that the caller may see; null where nobody knows."""
    return ScopedRelatedField(
        permission=Permission.VIEW_LUBRICANT,
        queryset=Lubricant.objects.all(),
        allow_null=True,
        required=False,
    )


class LubricantSerializer(serializers.ModelSerializer[Lubricant]):
    """An oil, with the figures of its data sheet."""

    kinematic_viscosity_40 = QuantityField(KINEMATIC_VISCOSITY, "mm2/s")
    kinematic_viscosity_100 = QuantityField(KINEMATIC_VISCOSITY, "mm2/s")
    density_15 = QuantityField(DENSITY, "kg/m3", required=False)
    workshop = ScopedRelatedField(
        permission=Permission.WRITE_LUBRICANT,
        queryset=Organisation.objects.all(),
        allow_null=True,
        required=False,
    )
    confirm = serializers.BooleanField(write_only=True, default=False)

    class Meta:
        model = Lubricant
        fields = (
            "id",
            "code",
            "name",
            "family",
            "kinematic_viscosity_40",
            "kinematic_viscosity_100",
            "density_15",
            "detergent",
            "extreme_pressure",
            "active_sulphur",
            "multigrade",
            "workshop",
            "confirm",
        )
        read_only_fields = ("id", "code")


class LubricantViewSet(mixins.CreateModelMixin, ScopedReadViewSet):
    """The catalogue of generic oils, and the caller's own cans."""

    permission = Permission.VIEW_LUBRICANT
    queryset = Lubricant.objects.all()
    serializer_class = LubricantSerializer
    filterset_fields = ("family", "detergent", "multigrade")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Add an oil from its data sheet."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        made = actions.add_lubricant(by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(made).data, status=status.HTTP_201_CREATED)


class ArrangementSerializer(serializers.ModelSerializer[OilArrangement]):
    """How a unit is oiled from a day on; null where nobody knows."""

    unit = unit_where(Permission.CHANGE_UNIT)
    lubricant = oil()
    sump_volume = QuantityField(VOLUME, "litre", allow_null=True, required=False)
    filter_flow = QuantityField(VOLUME_PER_TIME, "litre/minute", allow_null=True, required=False)
    dirt_capacity = QuantityField(MASS, "g", allow_null=True, required=False)
    feed_pipe_bore = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    feed_pipe_length = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    sump_temperature = QuantityField(TEMPERATURE, "degC", allow_null=True, required=False)

    class Meta:
        model = OilArrangement
        fields = (
            "id",
            "unit",
            "from_date",
            "feed",
            "sump_volume",
            "filtration",
            "beta_ratio",
            "filter_flow",
            "dirt_capacity",
            "breather_filtered",
            "feed_pipe_bore",
            "feed_pipe_length",
            "level_datum",
            "lubricant",
            "sump_temperature",
        )
        # said again for the same day, it is put right: no row is refused for being there
        validators: list[Any] = []


class ArrangementViewSet(mixins.CreateModelMixin, ScopedReadViewSet):
    """The oil arrangements of units, with their dates."""

    permission = Permission.VIEW_USE
    queryset = OilArrangement.objects.all()
    serializer_class = ArrangementSerializer
    filterset_fields = ("unit", "filtration")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Say how a unit is oiled from a day on."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        made = actions.set_oil_arrangement(by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(made).data, status=status.HTTP_201_CREATED)


class OilServiceSerializer(serializers.ModelSerializer[OilService]):
    """Something done with a unit's oil."""

    unit = unit_where(Permission.KEEP_USE)
    lubricant = oil()
    volume = QuantityField(VOLUME, "litre", allow_null=True, required=False)
    confirm = serializers.BooleanField(write_only=True, default=False)

    class Meta:
        model = OilService
        fields = (
            "id",
            "unit",
            "date",
            "kind",
            "shown",
            "lubricant",
            "volume",
            "note",
            "confirm",
        )


class OilServiceViewSet(mixins.CreateModelMixin, ScopedReadViewSet):
    """Changes, top-ups, filter changes and flushes."""

    permission = Permission.VIEW_USE
    queryset = OilService.objects.all()
    serializer_class = OilServiceSerializer
    filterset_fields = ("unit", "kind")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write down what was done with the oil."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        made = actions.record_oil_service(by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(made).data, status=status.HTTP_201_CREATED)


class AdviceSerializer(serializers.ModelSerializer[OilAdvice]):
    """A computed result with its inputs and the method's version; figures in SI."""

    class Meta:
        model = OilAdvice
        fields = (
            "id",
            "unit",
            "computed_at",
            "method",
            "method_version",
            "inputs",
            "result",
            "moved_by",
        )
        extra_kwargs = {
            "moved_by": {"help_text": "What moved it: names with what stood before and after."}
        }


class AdviceViewSet(mixins.ListModelMixin, Scoped):
    """The advice given on units, a row for each change, the newest first."""

    permission = Permission.VIEW_USE
    queryset = OilAdvice.objects.order_by("-computed_at", "-pk")
    serializer_class = AdviceSerializer
    filterset_fields = {
        "unit": ["exact"],
        "method": ["exact"],
        "method_version": ["exact"],
        "computed_at": ["gte", "lt"],
    }
