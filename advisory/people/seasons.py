"""Which half of the world a person's seasons are those of: that of their time zone's place."""

from datetime import timedelta
from functools import cache
from importlib import resources

HALF_A_YEAR = timedelta(days=182)


def season_ahead(zone: str) -> timedelta:
    """Return how far the seasons of a zone's place are ahead of those of the northern half.

    A day and this together are the day of the same season in the north: what is foretold and asked
    by season is reckoned there. Nothing for a zone that names no place.
    """
    return HALF_A_YEAR if zone in southern_zones() else timedelta(0)


@cache
def southern_zones() -> frozenset[str]:
    """Return the zones whose place lies south of the equator, under all their names.

    Source: the IANA time zone database, `zone.tab` (ISO 6709 co-ordinates) and its links.
    """
    database = resources.files("tzdata") / "zoneinfo"
    rows = [
        line.split("\t")
        for line in (database / "zone.tab").read_text("utf-8").splitlines()
        if line and not line.startswith("#")
    ]
    placed = {name: at.startswith("-") for _country, at, name, *_comment in rows}
    links = [
        line.split()[1:]
        for line in (database / "tzdata.zi").read_text("utf-8").splitlines()
        if line.startswith("L ")
    ]
    others = {name: placed.get(target, False) for target, name in links if name not in placed}
    return frozenset(name for name, south in (placed | others).items() if south)
