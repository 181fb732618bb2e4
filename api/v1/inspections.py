"""Guided inspections: begun, answered step by step, finished."""

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.quantities import LENGTH, TEMPERATURE
from advisory.findings.actions.inspecting import (
    answer_step,
    drop_inspection,
    finish_inspection,
    start_inspection,
)
from advisory.findings.enums import StepOutcome
from advisory.findings.inspecting.planning import SCOPES
from advisory.findings.marks import DamageMark
from advisory.findings.models import Inspection, InspectionStep
from advisory.people.rules import Permission
from advisory.register.models import Unit
from api.fields import QuantityField, ScopedRelatedField
from api.scoped import ScopedReadViewSet, find_or_404, person_of


class InspectionStepSerializer(serializers.ModelSerializer[InspectionStep]):
    """One step, and what came of it."""

    value = QuantityField(LENGTH, "mm", read_only=True, allow_null=True)
    uncertainty = QuantityField(LENGTH, "mm", read_only=True, allow_null=True)
    freezes_at = QuantityField(TEMPERATURE, "degC", read_only=True, allow_null=True)
    coldest = QuantityField(TEMPERATURE, "degC", read_only=True, allow_null=True)

    class Meta:
        model = InspectionStep
        fields = (
            "order",
            "kind",
            "position",
            "text",
            "otherwise",
            "caution",
            "due",
            "outcome",
            "mark",
            "value",
            "uncertainty",
            "as_typed",
            "freezes_at",
            "coldest",
            "words",
            "judgement",
            "answered_at",
            "finding",
        )
        # the whole step is read only; said of a mark, it would hide that there may be none
        read_only_fields = tuple(name for name in fields if name != "mark")


class InspectionSerializer(serializers.ModelSerializer[Inspection]):
    """A round over a unit with its steps."""

    unit = ScopedRelatedField(permission=Permission.REPORT_FINDING, queryset=Unit.objects.all())
    scope = serializers.ChoiceField(
        choices=[(scope, scope) for scope in SCOPES],
        help_text="How far it goes, or the kind of work that it is made for.",
    )
    started_on = serializers.DateField(required=False)
    client_key = serializers.CharField(
        write_only=True, required=False, max_length=64, help_text="Sent twice, begun once."
    )
    steps = InspectionStepSerializer(many=True, read_only=True)

    class Meta:
        model = Inspection
        fields = (
            "id",
            "unit",
            "started_on",
            "scope",
            "shown",
            "finished_at",
            "measuring",
            "steps",
            "client_key",
        )
        read_only_fields = ("id", "shown", "finished_at", "measuring")
        # the action itself gives back what was begun the first time
        validators = ()


class StepAnswerSerializer(serializers.Serializer[Any]):
    """What came of a step: a mark, a size, a reading of the coolant, or a word."""

    outcome = serializers.ChoiceField(
        choices=[StepOutcome.GOOD, StepOutcome.DONE, StepOutcome.SKIPPED], required=False
    )
    mark = serializers.ChoiceField(choices=DamageMark.choices, required=False)
    value = QuantityField(LENGTH, "mm", required=False)
    uncertainty = QuantityField(LENGTH, "mm", required=False)
    freezes_at = QuantityField(TEMPERATURE, "degC", required=False)
    coldest = QuantityField(TEMPERATURE, "degC", required=False)
    words = serializers.CharField(required=False, max_length=500)
    confirm = serializers.BooleanField(
        default=False, help_text="The figure is right, though it is not believed."
    )
    client_key = serializers.CharField(
        required=False, max_length=64, help_text="Made once for each answer: counts once."
    )


class FinishSerializer(serializers.Serializer[Any]):
    """The end of a round."""

    shown = serializers.IntegerField(required=False, min_value=0)
    confirm_shown = serializers.BooleanField(default=False)
    went_round = serializers.BooleanField(default=False)


class InspectionViewSet(mixins.CreateModelMixin, mixins.DestroyModelMixin, ScopedReadViewSet):
    """The caller's own rounds; what they find goes its own ways."""

    permission = Permission.REPORT_FINDING
    queryset = Inspection.objects.prefetch_related("steps")
    serializer_class = InspectionSerializer
    filterset_fields = ("unit", "scope")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Begin a round: its steps follow from the design and from what is due."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        made = start_inspection(by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(made).data, status=status.HTTP_201_CREATED)

    def perform_destroy(self, instance: Inspection) -> None:
        """Throw it away, unless it is finished."""
        drop_inspection(inspection=instance, by=person_of(self.request))

    @extend_schema(request=StepAnswerSerializer, responses={200: InspectionStepSerializer})
    @action(detail=True, methods=["post"], url_path="steps/(?P<order>[0-9]{1,4})")
    def steps(self, request: Request, pk: str, order: str) -> Response:
        """Write down what came of a step; it is judged at once."""
        row = find_or_404(request, self.permission, Inspection.objects.all(), pk)
        step = get_object_or_404(row.steps.select_related("position"), order=int(order))
        wanted = StepAnswerSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        value = said.get("value")
        typed = "" if value is None else f"{value * 1e3:.6g} mm"
        kept = answer_step(step=step, by=person_of(request), as_typed=typed, **said)
        return Response(InspectionStepSerializer(kept).data)

    @extend_schema(request=FinishSerializer, responses={200: InspectionSerializer})
    @action(detail=True, methods=["post"])
    def finish(self, request: Request, pk: str) -> Response:
        """Keep its sizes as a measuring and its marks as findings, each once."""
        row = find_or_404(request, self.permission, Inspection.objects.all(), pk)
        wanted = FinishSerializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        finish_inspection(inspection=row, by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(self.get_queryset().get(pk=row.pk)).data)
