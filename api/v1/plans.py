"""What units need next, and what was done."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.decorators import action
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.quantities import LENGTH, TIME, VOLUME, Preferences
from advisory.lubrication.models import Lubricant
from advisory.people.preferences import preferences_of
from advisory.people.rules import Permission
from advisory.plans import actions
from advisory.plans.models import PlanItem, WorkDone
from advisory.plans.reason_words import reasons_words
from api.fields import QuantityField, ScopedRelatedField
from api.scoped import Scoped, ScopedReadViewSet, person_of

SECONDS_AN_HOUR = 3600.0


class HoursField(QuantityField):
    """Running time that the row holds in hours."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(TIME, "hour", **kwargs)

    def to_representation(self, value: float) -> dict[str, Any]:
        """Answer in hours."""
        return super().to_representation(value * SECONDS_AN_HOUR)


class PlanItemSerializer(serializers.ModelSerializer[PlanItem]):
    """One kind of work on a unit: when it is due, and why, in the caller's units."""

    due_distance = QuantityField(LENGTH, "km", read_only=True, allow_null=True)
    due_hours = HoursField(read_only=True, allow_null=True)
    why = serializers.SerializerMethodField()

    class Meta:
        model = PlanItem
        fields = (
            "id",
            "unit",
            "work",
            "cycle",
            "state",
            "due_distance",
            "due_hours",
            "due_date",
            "forecast_date",
            "forecast_first",
            "forecast_last",
            "asks_for_reading",
            "limited_by",
            "why",
            "updated_at",
        )

    def get_why(self, item: PlanItem) -> list[str]:
        """Write the reasons as sentences."""
        request = self.context.get("request")
        prefs = Preferences() if request is None else preferences_of(person_of(request))
        return reasons_words(item, prefs)


class DoneSerializer(serializers.Serializer[Any]):
    """Work that was done, and what was filled."""

    date = serializers.DateField()
    shown = serializers.IntegerField(required=False, min_value=0)
    note = serializers.CharField(required=False, max_length=500)
    lubricant = ScopedRelatedField(
        permission=Permission.VIEW_LUBRICANT, queryset=Lubricant.objects.all(), required=False
    )
    volume = QuantityField(VOLUME, "litre", required=False)
    cycle = serializers.IntegerField(
        required=False, min_value=1, help_text="As shown by the item: sent twice, done once."
    )
    confirm = serializers.BooleanField(default=False)


class WorkDoneSerializer(serializers.ModelSerializer[WorkDone]):
    """Work that was done."""

    distance = QuantityField(LENGTH, "km", read_only=True, allow_null=True)

    class Meta:
        model = WorkDone
        fields = (
            "id",
            "unit",
            "work",
            "cycle",
            "date",
            "shown",
            "distance",
            "in_time",
            "note",
        )


class PlanItemViewSet(ScopedReadViewSet):
    """The plans of the units that the caller may see, by forecast date."""

    permission = Permission.VIEW_USE
    queryset = PlanItem.objects.order_by("forecast_date", "pk")
    serializer_class = PlanItemSerializer
    filterset_fields = ("unit", "work", "state")

    @extend_schema(request=DoneSerializer, responses={201: WorkDoneSerializer})
    @action(detail=True, methods=["post"])
    def done(self, request: Request, pk: str) -> Response:
        """Write down that it was done; the plan goes on from there."""
        item = self.get_object()
        wanted = DoneSerializer(data=request.data, context=self.get_serializer_context())
        wanted.is_valid(raise_exception=True)
        done = actions.mark_done(
            unit=item.unit, work=item.work, by=person_of(request), **wanted.validated_data
        )
        return Response(WorkDoneSerializer(done).data, status=status.HTTP_201_CREATED)


class WorkDoneViewSet(mixins.ListModelMixin, Scoped):
    """What was done on the units that the caller may see."""

    permission = Permission.VIEW_USE
    queryset = WorkDone.objects.all()
    serializer_class = WorkDoneSerializer
    filterset_fields = ("unit", "work")
