"""What waits for the reader, beside the entries at the top of every page."""

from typing import Any

from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from advisory.findings.queries import unseen_count
from advisory.notices.account import unread_count
from advisory.people.models import Person


def what_waits(request: HttpRequest) -> dict[str, Any]:
    """Give templates `waiting`: by route, how many things there are new; counted when asked."""
    person = getattr(request, "user", None)
    if not isinstance(person, Person):
        return {}
    # each is counted only where its entry is shown
    return {
        "waiting": {
            "notices:messages": SimpleLazyObject(lambda: unread_count(person)),
            "findings:inbox": SimpleLazyObject(lambda: unseen_count(person)),
        }
    }
