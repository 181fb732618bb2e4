"""Holding back who tries too often: guessing a code must not pay."""

from django.core.cache import cache


def tries_too_often(what: str, who: str, *, most: int, within: int) -> bool:
    """Count one more try, and say whether there were more than `most` within so many seconds.

    The count is shared where the service has a broker, and each process's own where it has none.
    """
    key = f"tries:{what}:{who}"
    if cache.add(key, 1, within):
        return most < 1
    try:
        return cache.incr(key) > most
    except ValueError:  # it ran out between the two
        cache.set(key, 1, within)
        return most < 1
