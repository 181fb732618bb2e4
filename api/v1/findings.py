"""What owners saw, and what the workshop says to it."""

from typing import Any

from django.db.models import Exists, Prefetch
from drf_spectacular.utils import extend_schema, extend_schema_field
from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response

from advisory.common.quantities import LENGTH, QuantityError, read_quantity
from advisory.findings import actions
from advisory.findings.actions import Size, record_measuring
from advisory.findings.enums import Judgement, Urgency
from advisory.findings.marks import DamageMark
from advisory.findings.models import Finding, FindingPhoto, Measuring
from advisory.findings.queries import asked_of, before_at_its_place
from advisory.findings.urgency import urgency_of
from advisory.people.rules import Permission
from advisory.register.models import Position, Unit
from api.fields import QuantityField, ScopedRelatedField
from api.scoped import ScopedReadViewSet, person_of
from api.v1.exchange import AnswerSerializer, Exchange, PhotoSerializer
from api.v1.finding_filters import FindingFilters


class UrgencySerializer(serializers.Serializer[Any]):
    """How urgent, and why, in the caller's language."""

    level = serializers.ChoiceField(choices=Urgency.choices)
    why = serializers.ListField(child=serializers.CharField())


class FindingSerializer(serializers.ModelSerializer[Finding]):
    """What was seen, and how it stands."""

    value = QuantityField(LENGTH, "mm", read_only=True, allow_null=True)
    answers = AnswerSerializer(many=True, read_only=True)
    photos = PhotoSerializer(many=True, read_only=True)
    whose_turn = serializers.SerializerMethodField()
    urgency = serializers.SerializerMethodField()

    class Meta:
        model = Finding
        fields = (
            "id",
            "unit",
            "position",
            "seen_on",
            "text",
            "mark",
            "shown",
            "quantity",
            "value",
            "as_typed",
            "judgement",
            "state",
            "whose_turn",
            "urgency",
            "sent_at",
            "first_answered_at",
            "instruction",
            "agreed",
            "cause",
            "cause_found",
            "closed_at",
            "answers",
            "photos",
        )

    @extend_schema_field(serializers.ChoiceField(choices=["owner", "workshop", "nobody"]))
    def get_whose_turn(self, finding: Finding) -> str:
        """Say who is to do something next."""
        if finding.workshops_turn:
            return "workshop"
        return "owner" if finding.owners_turn else "nobody"

    @extend_schema_field(UrgencySerializer)
    def get_urgency(self, finding: Finding) -> dict[str, Any]:
        """Say how urgent it is, and why."""
        again = bool(getattr(finding, "again", False))
        urgent = urgency_of(finding, asked=asked_of(finding), again=again)
        return {"level": urgent.level, "why": list(urgent.why)}


class NewFindingSerializer(serializers.Serializer[Any]):
    """A finding to report; photos come as files of a multipart form."""

    unit = ScopedRelatedField(permission=Permission.REPORT_FINDING, queryset=Unit.objects.all())
    position = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN,
        queryset=Position.objects.all(),
        required=False,
        allow_null=True,
    )
    seen_on = serializers.DateField()
    text = serializers.CharField()
    mark = serializers.ChoiceField(choices=DamageMark.choices, required=False, allow_blank=True)
    measured = serializers.CharField(
        required=False, max_length=40, help_text='With its unit: "17 thou", "0.43 mm".'
    )
    shown = serializers.IntegerField(required=False, min_value=0)
    photos = serializers.ListField(child=serializers.FileField(), required=False, max_length=6)
    client_key = serializers.CharField(
        required=False, max_length=64, help_text="Made once by the caller: sent twice, kept once."
    )
    confirm = serializers.BooleanField(
        default=False, help_text="The figure is right, though it is not believed."
    )
    confirm_shown = serializers.BooleanField(
        default=False, help_text="The odometer's number is right, though it is not believed."
    )
    went_round = serializers.BooleanField(
        default=False, help_text="The odometer has gone past its last number since."
    )


class FindingViewSet(mixins.CreateModelMixin, Exchange, ScopedReadViewSet):
    """One's own findings, and those sent to one's workshop."""

    permission = Permission.VIEW_FINDING
    queryset = Finding.objects.annotate(again=Exists(before_at_its_place())).prefetch_related(
        "answers__by",
        "answers__ways__finding",
        "answers__asked__value",
        "answers__photos",
        Prefetch("photos", FindingPhoto.objects.filter(answer=None)),
    )
    serializer_class = FindingSerializer
    filterset_class = FindingFilters

    @extend_schema(request=NewFindingSerializer, responses={201: FindingSerializer})
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Report what was seen to the workshop that built the unit."""
        wanted = NewFindingSerializer(data=request.data, context=self.get_serializer_context())
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        measured = said.pop("measured", "")
        finding = actions.report_finding(
            by=person_of(request), value=_metres(measured), as_typed=measured, **said
        )
        made = self.get_queryset().get(pk=finding.pk)
        return Response(self.get_serializer(made).data, status=status.HTTP_201_CREATED)


def _metres(measured: str) -> float | None:
    if not measured:
        return None
    try:
        return read_quantity(measured, LENGTH).si
    except QuantityError as error:
        raise serializers.ValidationError({"measured": [error.message]}) from error


class SizeSerializer(serializers.Serializer[Any]):
    """A size at a position, as it was typed or as a quantity."""

    position = ScopedRelatedField(
        permission=Permission.VIEW_DESIGN, queryset=Position.objects.all()
    )
    value = QuantityField(LENGTH, "mm")
    uncertainty = QuantityField(LENGTH, "mm", required=False, allow_null=True)
    quantity = serializers.CharField(read_only=True)
    judgement = serializers.ChoiceField(choices=Judgement.choices, read_only=True)
    finding = serializers.IntegerField(source="finding_id", read_only=True, allow_null=True)


class MeasuringSerializer(serializers.ModelSerializer[Measuring]):
    """What an owner measured on a day; sizes at which to ask or stop have their finding."""

    unit = ScopedRelatedField(permission=Permission.REPORT_FINDING, queryset=Unit.objects.all())
    values = SizeSerializer(many=True)
    confirm = serializers.BooleanField(write_only=True, default=False)
    client_key = serializers.CharField(write_only=True, required=False, max_length=64)

    class Meta:
        model = Measuring
        fields = ("id", "unit", "measured_on", "shown", "note", "values", "confirm", "client_key")
        # the action itself gives back what was kept the first time
        validators = ()


class MeasuringViewSet(mixins.CreateModelMixin, ScopedReadViewSet):
    """What was measured on the units that the caller may see."""

    permission = Permission.VIEW_USE
    queryset = Measuring.objects.prefetch_related("values__position")
    serializer_class = MeasuringSerializer
    filterset_fields = ("unit",)

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Write down what was measured; sent twice with one `client_key`, it is kept once."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        said = wanted.validated_data
        sizes = [
            Size(
                position=one["position"],
                value=one["value"],
                as_typed=f"{one['value'] * 1e3:.6g} mm",
                uncertainty=one.get("uncertainty"),
            )
            for one in said["values"]
        ]
        kept = record_measuring(
            unit=said["unit"],
            by=person_of(request),
            measured_on=said["measured_on"],
            sizes=sizes,
            shown=said.get("shown"),
            note=said.get("note", ""),
            client_key=said.get("client_key", ""),
            confirm=said["confirm"],
        )
        return Response(self.get_serializer(kept).data, status=status.HTTP_201_CREATED)
