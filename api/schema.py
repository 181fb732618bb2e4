"""What the description of the API says of all its operations alike."""

from typing import Any

from advisory.common.calculation import PROBLEM_SCHEMA
from api.errors import CONTENT_TYPE


def add_problems(result: dict[str, Any], **_kwargs: Any) -> dict[str, Any]:
    """Say of every operation that whatever goes wrong is answered with a problem object."""
    result["components"].setdefault("schemas", {})["Problem"] = PROBLEM_SCHEMA
    answer = {
        "description": "It was not done, and nothing was saved.",
        "content": {CONTENT_TYPE: {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    for path in result["paths"].values():
        for operation in path.values():
            operation["responses"].setdefault("default", answer)
    return result
