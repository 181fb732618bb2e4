"""Which oils suit a unit: computed as its page shows it, figures in SI."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.lubrication.adapters.engineering import METHOD, METHOD_VERSION, STATES, FilmVerdict
from advisory.lubrication.choice.judging import choose_for
from advisory.people.rules import Permission
from advisory.register.models import Unit
from api.scoped import find_or_404, person_of

_VERDICTS = [verdict.code for verdict in FilmVerdict]


class HotSerializer(serializers.Serializer[Any]):
    """An oil on a hard run on a hot day, in the bearing that fares worst; null: no figure."""

    verdict = serializers.ChoiceField(choices=_VERDICTS)
    bearing = serializers.CharField(help_text="its key, see names")
    film = serializers.FloatField(allow_null=True, help_text="m")
    allowable_film = serializers.FloatField(allow_null=True, help_text="m")
    film_ratio = serializers.FloatField(allow_null=True)
    film_temperature_c = serializers.FloatField(allow_null=True, help_text="degC, the hottest film")
    power = serializers.FloatField(allow_null=True, help_text="W in all bearings, on a warm run")
    in_window = serializers.BooleanField(help_text="holds hot, and arrives cold")


class ColdSerializer(serializers.Serializer[Any]):
    """An oil on a cold start; null: no figure, or not known."""

    viscosity = serializers.FloatField(allow_null=True, help_text="Pa s; null: it does not flow")
    flows = serializers.BooleanField()
    flow = serializers.FloatField(allow_null=True, help_text="m3/s through the feed pipe")
    filling_time = serializers.FloatField(allow_null=True, help_text="s, to fill the feed pipe")
    arrives = serializers.BooleanField(help_text="nothing that is known keeps it from arriving")


class JudgedOilSerializer(serializers.Serializer[Any]):
    """One oil; `hot` by running clearance: built, now, limit."""

    oil = serializers.CharField(help_text="its code, or its key, see names")
    hot = serializers.DictField(child=HotSerializer())
    cold = ColdSerializer()


class JudgedWasherSerializer(serializers.Serializer[Any]):
    """A thrust washer, whatever the oil."""

    washer = serializers.CharField(help_text="its key, see names")
    pressure = serializers.FloatField(help_text="Pa")
    sliding_speed = serializers.FloatField(help_text="m/s")
    pressure_velocity = serializers.FloatField(help_text="Pa m/s")
    limits_kept = serializers.BooleanField()


class LeftOutSerializer(serializers.Serializer[Any]):
    """A bearing or washer of which too little is known."""

    name = serializers.CharField()
    missing = serializers.ListField(child=serializers.CharField())


class OilChoiceSerializer(serializers.Serializer[Any]):
    """Which oils suit a unit, hot and cold, at each running clearance that is known; SI."""

    method = serializers.CharField()
    method_version = serializers.CharField()
    prescribed = serializers.CharField(
        allow_null=True, help_text="code of the oil that the workshop prescribes; it stands above"
    )
    in_use = serializers.CharField(allow_null=True, help_text="key of the oil in it, see names")
    temperatures_c = serializers.DictField(child=serializers.FloatField())
    states = serializers.ListField(child=serializers.ChoiceField(choices=STATES))
    windows = serializers.DictField(
        child=serializers.ListField(child=serializers.CharField()),
        help_text="oils with which both ends hold, by running clearance",
    )
    oils = JudgedOilSerializer(many=True)
    washers = JudgedWasherSerializer(many=True)
    assumed = serializers.ListField(child=serializers.CharField())
    left_out = LeftOutSerializer(many=True)
    names = serializers.DictField(child=serializers.CharField())


class OilChoiceView(APIView):
    """The choice of a unit's oil."""

    @extend_schema(responses=OilChoiceSerializer)
    def get(self, request: Request, pk: int) -> Response:
        """Judge the generic oils and the caller's own for a unit, hot and cold."""
        units = Unit.objects.select_related("design", "owner")
        unit = find_or_404(request, Permission.VIEW_USE, units, pk)
        chosen = choose_for(unit, person_of(request))
        case, oil = chosen.case.case, chosen.ground.oil
        in_use = None if oil.lubricant is None else chosen.key_of(oil.lubricant)
        answer = {
            "method": METHOD,
            "method_version": METHOD_VERSION,
            "prescribed": chosen.ground.design.lubricant_code or None,
            "in_use": in_use,
            "temperatures_c": {"cold": case.cold_c, "warm": case.warm_c, "hot": case.hot_c},
            **chosen.result,
        }
        return Response(OilChoiceSerializer(answer).data)
