"""What the top of every page says of its reader: where they work, what they own, what waits."""

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from advisory.notices.masthead import masthead_of
from advisory.people.models import Person


def masthead(request: HttpRequest) -> dict[str, Any]:
    """Give templates `at_work`, `owns`, `puts_off` and, by route, how much new is `waiting`.

    All of it is looked up in one query, when the first of it is asked for.
    """
    person = getattr(request, "user", None)
    if not isinstance(person, Person):
        return {"at_work": None}
    told = SimpleLazyObject(lambda: masthead_of(person))
    return {
        "at_work": SimpleLazyObject(lambda: told.at_work),
        "owns": SimpleLazyObject(lambda: told.owns),
        "puts_off": SimpleLazyObject(lambda: told.puts_off),
        "waiting": {
            "notices:messages": SimpleLazyObject(lambda: told.unread),
            "findings:inbox": SimpleLazyObject(lambda: told.unseen),
        },
    }
