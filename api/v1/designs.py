"""Designs: their positions, instructions, order of dismantling."""

from typing import Any

from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.quantities import FORCE, LENGTH, TIME, VOLUME
from advisory.people.models import Organisation
from advisory.people.rules import Permission
from advisory.register import actions
from advisory.register.enums import WorkKind
from advisory.register.models import (
    Design,
    DismantlingStep,
    MaintenanceInstruction,
    Position,
)
from api.fields import QuantityField, ScopedRelatedField
from api.scoped import ScopedReadViewSet, find_or_404, person_of


class PositionSerializer(serializers.ModelSerializer[Position]):
    """One place of a design."""

    diameter = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    length = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    surface_roughness = QuantityField(LENGTH, "um", allow_null=True, required=False)
    load = QuantityField(FORCE, "N", allow_null=True, required=False)
    as_built_least = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    as_built_most = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    look_into_above = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    wear_limit = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    bore_least = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    bore_most = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    journal_least = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    journal_most = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    form_limit = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    run_out_limit = QuantityField(LENGTH, "mm", allow_null=True, required=False)
    flatness_limit = QuantityField(LENGTH, "mm", allow_null=True, required=False)

    class Meta:
        model = Position
        fields = (
            "id",
            "order",
            "kind",
            "name",
            "material",
            "diameter",
            "length",
            "surface_roughness",
            "load",
            "as_built_least",
            "as_built_most",
            "look_into_above",
            "wear_limit",
            "form_limit",
            "run_out_limit",
            "flatness_limit",
            "speed_ratio",
            "seal_material",
            "limits_as",
            "bore_least",
            "bore_most",
            "journal_least",
            "journal_most",
            "bore_class",
            "journal_class",
            "planes",
            "directions",
        )
        read_only_fields = ("id", "order")


class InstructionSerializer(serializers.ModelSerializer[MaintenanceInstruction]):
    """What the workshop says of one kind of work."""

    distance = QuantityField(LENGTH, "km", allow_null=True, required=False)
    hours = QuantityField(TIME, "hour", allow_null=True, required=False)

    class Meta:
        model = MaintenanceInstruction
        fields = ("work", "distance", "hours", "months", "season", "text", "needs")


class DismantlingStepSerializer(serializers.ModelSerializer[DismantlingStep]):
    """One step of taking a unit apart."""

    class Meta:
        model = DismantlingStep
        fields = ("order", "text", "otherwise", "caution")


class StepSerializer(serializers.Serializer[Any]):
    """One step of taking a unit apart, as it is written."""

    text = serializers.CharField(max_length=400)
    otherwise = serializers.CharField(max_length=400, required=False, allow_blank=True)
    caution = serializers.CharField(max_length=400, required=False, allow_blank=True)


class DismantlingSerializer(serializers.Serializer[Any]):
    """The whole order in which a unit comes apart."""

    steps = StepSerializer(many=True)


class WorkSerializer(serializers.Serializer[Any]):
    """One kind of work."""

    work = serializers.ChoiceField(choices=WorkKind.choices)


class DesignSerializer(serializers.ModelSerializer[Design]):
    """A kind of unit."""

    sump_volume = QuantityField(VOLUME, "litre", allow_null=True, required=False)
    positions = PositionSerializer(many=True)
    instructions = InstructionSerializer(many=True, read_only=True)
    dismantling = DismantlingStepSerializer(many=True, read_only=True)
    workshop = ScopedRelatedField(
        permission=Permission.REGISTER_UNIT,
        queryset=Organisation.objects.all(),
        allow_null=True,
        help_text="Null for a starter design, which nobody writes here.",
    )
    based_on = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN,
        queryset=Design.objects.all(),
        required=False,
        allow_null=True,
        help_text="Its instructions and order of dismantling are taken along.",
    )
    confirm = serializers.BooleanField(
        write_only=True, default=False, help_text="Yes, make it the next version of that name."
    )

    class Meta:
        model = Design
        fields = (
            "id",
            "workshop",
            "kind",
            "name",
            "version",
            "description",
            "speed_ratio",
            "sump_volume",
            "lubricant_code",
            "oil_feed",
            "oil_filtration",
            "level_datum",
            "positions",
            "instructions",
            "dismantling",
            "based_on",
            "confirm",
        )
        read_only_fields = ("id", "version")
        # a further version of a name is a question that the action asks
        validators = ()

    def validate_workshop(self, workshop: Organisation | None) -> Organisation:
        """Refuse to leave it open whose design it is."""
        if workshop is None:
            raise serializers.ValidationError(_("Name the workshop whose design it is."))
        return workshop


class DesignViewSet(mixins.CreateModelMixin, mixins.UpdateModelMixin, ScopedReadViewSet):
    """Starter designs, one's workshop's designs, and those of one's units."""

    http_method_names = ("get", "post", "put", "head", "options")

    permission = Permission.VIEW_DESIGN
    queryset = Design.objects.prefetch_related("positions", "instructions", "dismantling")
    serializer_class = DesignSerializer
    filterset_fields = ("kind", "workshop")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write a design for one's workshop."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        positions = [actions.PositionData(**position) for position in said.pop("positions")]
        design = actions.create_design(by=person_of(request), positions=positions, **said)
        return Response(self._shown(design), status=status.HTTP_201_CREATED)

    def _shown(self, design: Design) -> Any:
        made = self.get_queryset().get(pk=design.pk)
        return self.get_serializer(made).data

    def update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write a design anew, whole; where units stand on it, this makes its next version."""
        design = find_or_404(request, Permission.WRITE_DESIGN, Design.objects.all(), kwargs["pk"])
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = dict(wanted.validated_data)
        positions = [actions.PositionData(**position) for position in said.pop("positions")]
        for not_changed in ("workshop", "based_on", "confirm"):
            said.pop(not_changed, None)
        said.setdefault("engine_speed", design.engine_speed)
        changed = actions.change_design(
            design=design, by=person_of(request), positions=positions, **said
        )
        return Response(self._shown(changed))

    @extend_schema(request=InstructionSerializer, responses=DesignSerializer)
    @action(detail=True, methods=["post"])
    def instruct(self, request: Request, pk: str) -> Response:
        """Say how often one kind of work falls due; what was said of it before is replaced."""
        design = find_or_404(request, Permission.WRITE_DESIGN, Design.objects.all(), pk)
        wanted = InstructionSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = dict(wanted.validated_data)
        actions.set_instruction(design=design, by=person_of(request), **said)
        return Response(self._shown(design))

    @extend_schema(request=WorkSerializer, responses=DesignSerializer)
    @action(detail=True, methods=["post"], url_path="instruct/remove")
    def uninstruct(self, request: Request, pk: str) -> Response:
        """Say nothing of one kind of work any more."""
        design = find_or_404(request, Permission.WRITE_DESIGN, Design.objects.all(), pk)
        wanted = WorkSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        actions.remove_instruction(
            design=design, work=wanted.validated_data["work"], by=person_of(request)
        )
        return Response(self._shown(design))

    @extend_schema(request=DismantlingSerializer, responses=DesignSerializer)
    @action(detail=True, methods=["put"])
    def dismantling(self, request: Request, pk: str) -> Response:
        """Write the order in which a unit comes apart; the old order is replaced."""
        design = find_or_404(request, Permission.WRITE_DESIGN, Design.objects.all(), pk)
        wanted = DismantlingSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        steps = [actions.StepData(**step) for step in wanted.validated_data["steps"]]
        actions.set_dismantling(design=design, by=person_of(request), steps=steps)
        return Response(self._shown(design))
