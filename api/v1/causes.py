"""What a damage mark points to, and a workshop's own lines of the table."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import mixins, serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.common.quantities import METRIC
from advisory.findings.actions import add_cause_line, remove_cause_line
from advisory.findings.causes import pointed_at, record_of
from advisory.findings.causes.evidence import EVIDENCE
from advisory.findings.models import CauseLine, Finding
from advisory.findings.queries import own_cause_lines
from advisory.people.rules import Permission
from advisory.register.models import Design
from api.fields import ScopedRelatedField
from api.scoped import ScopedReadViewSet, find_or_404, person_of


class CauseLineSerializer(serializers.ModelSerializer[CauseLine]):
    """A workshop's own cause of a mark, for a design and its versions."""

    design = ScopedRelatedField(permission=Permission.WRITE_DESIGN, queryset=Design.objects.all())
    evidence = serializers.ListField(
        child=serializers.ChoiceField(choices=[(key, key) for key in EVIDENCE]),
        required=False,
        max_length=len(EVIDENCE),
    )

    class Meta:
        model = CauseLine
        fields = (
            "id",
            "design",
            "mark",
            "cause",
            "evidence",
            "check_for",
            "until_then",
            "source",
        )


class CauseLineViewSet(mixins.CreateModelMixin, mixins.DestroyModelMixin, ScopedReadViewSet):
    """The lines of the designs that the caller may see."""

    permission = Permission.VIEW_DESIGN
    queryset = CauseLine.objects.all()
    serializer_class = CauseLineSerializer
    filterset_fields = ("design", "mark")

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Add a line; it holds at once."""
        wanted = self.get_serializer(data=request.data)
        wanted.is_valid(raise_exception=True)
        line = add_cause_line(by=person_of(request), **wanted.validated_data)
        return Response(self.get_serializer(line).data, status=status.HTTP_201_CREATED)

    def perform_destroy(self, instance: CauseLine) -> None:
        """Take it out."""
        remove_cause_line(line=instance, by=person_of(self.request))


class PointedSerializer(serializers.Serializer[Any]):
    """One likely cause, with what the unit's record says."""

    cause = serializers.CharField()
    supports = serializers.ListField(child=serializers.CharField())
    against = serializers.ListField(child=serializers.CharField())
    check = serializers.CharField()
    until_then = serializers.CharField()
    where_from = serializers.CharField(source="source")
    by = serializers.CharField(help_text="The workshop whose own line it is, or nothing.")


class PointedAtSerializer(serializers.Serializer[Any]):
    """What a finding's mark points to, the likeliest first."""

    mark = serializers.CharField()
    stop = serializers.CharField(help_text="Stands above all causes where a place is past a limit.")
    causes = PointedSerializer(many=True)


class FindingCausesView(APIView):
    """What a finding's mark points to."""

    @extend_schema(responses=PointedAtSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Return likely causes in order; none without a mark."""
        findings = Finding.objects.select_related("unit__design", "unit__owner", "position")
        finding = find_or_404(request, Permission.VIEW_FINDING, findings, pk)
        by = person_of(request)
        if not finding.mark:
            return Response({"mark": "", "stop": "", "causes": []})
        lines = own_cause_lines(finding.unit.design)
        told = pointed_at(finding.mark, record_of(finding, by), METRIC, lines)
        shown = {"mark": finding.mark, "stop": told.stop, "causes": told.causes}
        return Response(PointedAtSerializer(shown).data)
