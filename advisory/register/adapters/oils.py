"""The generic oils that a design can prescribe."""

from advisory.engineering.lubricant_catalogue import LUBRICANTS


def oil_choices() -> list[tuple[str, str]]:
    """Return the codes and names of the generic oils."""
    return [(oil.code, oil.name) for oil in LUBRICANTS.values()]
