"""The calculators: the same JSON as on the command line."""

from typing import Any

from django.urls import URLPattern, path
from drf_spectacular.utils import extend_schema
from rest_framework.parsers import BaseParser
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from advisory.common.calculation import Calculator, read_json, registry


class StrictJSONParser(BaseParser):
    """JSON as the calculators read it on the command line: with the same refusals."""

    media_type = "application/json"

    def parse(self, stream: Any, media_type: Any = None, parser_context: Any = None) -> Any:
        """Read the body whole."""
        return read_json(stream.read())


class CalculatorListView(APIView):
    """The calculators, by name."""

    @extend_schema(
        responses={
            (200, "application/json"): {
                "type": "array",
                "items": {
                    "type": "object",
                    "properties": {"name": {"type": "string"}, "summary": {"type": "string"}},
                    "required": ["name", "summary"],
                },
            }
        }
    )
    def get(self, request: Request) -> Response:
        """Name the calculators, with one line each."""
        return Response(
            [
                {"name": name, "summary": str(registry.get(name).summary)}
                for name in registry.names()
            ]
        )


def view_of(calculator: Calculator) -> Any:
    """Make the view of one calculator, with its own schema: GET describes, POST computes."""
    name = calculator.name.replace("-", "_")
    summary = str(calculator.summary)

    class CalculatorView(APIView):
        parser_classes = (StrictJSONParser,)

        @extend_schema(
            operation_id=f"calculations_{name}_describe",
            summary=summary,
            responses={(200, "application/json"): {"type": "object"}},
        )
        def get(self, request: Request) -> Response:
            """Describe the JSON that it takes and the JSON that it answers."""
            return Response(calculator.described())

        @extend_schema(
            operation_id=f"calculations_{name}_run",
            summary=summary,
            request={"application/json": calculator.schema()},
            responses={(200, "application/json"): calculator.answer_schema()},
        )
        def post(self, request: Request) -> Response:
            """Compute one case, or an array of cases together."""
            return Response(calculator.run(request.data))

    return CalculatorView.as_view()


def calculator_routes() -> list[URLPattern]:
    """Return a route for each calculator that the apps have declared."""
    return [
        path("calculations/", CalculatorListView.as_view(), name="calculations"),
        *(
            path(f"calculations/{name}/", view_of(registry.get(name)), name=f"calculation-{name}")
            for name in registry.names()
        ),
    ]
