"""Callers of the API."""

from collections.abc import Callable

import pytest
from rest_framework.authtoken.models import Token
from rest_framework.test import APIClient

from advisory.people.models import Person


@pytest.fixture
def calling(db: None) -> Callable[[Person | None], APIClient]:
    """Return a client that signs in with a person's token; with None, a stranger to all of it."""

    def client(person: Person | None) -> APIClient:
        made = APIClient()
        if person is not None:
            token, _made = Token.objects.get_or_create(user=person)
            made.credentials(HTTP_AUTHORIZATION=f"Bearer {token.key}")
        return made

    return client
