"""A program writes designs as the pages do, and puts photos on sheets."""

import io
from datetime import date

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from advisory.people.models import Person
from advisory.register.actions import start_build
from advisory.register.models import Build, Design, Unit

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]
BEARING = {"kind": "journal_bearing", "name": "Front", "diameter": "38 mm", "wear_limit": "4 thou"}


@pytest.fixture
def written(client: Client, design: Design, manager: Person) -> dict[str, object]:
    """Give a design as it was written through the API."""
    client.force_login(manager)
    body = {"workshop": design.workshop_id, "kind": "supercharger", "name": "Pattern 5",
            "positions": [BEARING]}  # fmt: skip
    answer = client.post("/api/v1/designs/", body, "application/json")
    assert answer.status_code == 201, answer.content
    return answer.json()


def test_design_is_changed_and_one_that_was_built_gets_a_next_version(
    client: Client, written: dict, workshop: object
) -> None:
    url = f"/api/v1/designs/{written['id']}/"
    body = {"workshop": written["workshop"], "kind": "supercharger", "name": "Pattern 5",
            "positions": [BEARING, BEARING | {"name": "Rear"}]}  # fmt: skip
    answer = client.put(url, body, "application/json")
    assert answer.status_code == 200, answer.content
    assert answer.json()["id"] == written["id"]
    assert [one["name"] for one in answer.json()["positions"]] == ["Front", "Rear"]
    Unit.objects.create(design_id=written["id"], workshop=workshop, serial="P5-1")
    again = client.put(url, body, "application/json").json()
    assert (again["id"] != written["id"], again["version"]) == (True, 2)


def test_design_is_copied_and_a_name_that_is_there_is_asked_about(
    client: Client, written: dict
) -> None:
    url = f"/api/v1/designs/{written['id']}"
    client.post(f"{url}/instruct/", {"work": "oil_change", "months": 6}, "application/json")
    body = {"workshop": written["workshop"], "kind": "supercharger", "name": "Pattern 6",
            "positions": [BEARING], "based_on": written["id"]}  # fmt: skip
    copy = client.post("/api/v1/designs/", body, "application/json").json()
    assert [one["work"] for one in copy["instructions"]] == ["oil_change"]
    asked = client.post("/api/v1/designs/", body, "application/json")
    assert asked.status_code == 409
    made = client.post("/api/v1/designs/", body | {"confirm": True}, "application/json").json()
    assert made["version"] == 2


def test_instructions_and_the_order_of_dismantling_are_written(
    client: Client, written: dict
) -> None:
    url = f"/api/v1/designs/{written['id']}"
    said = {"work": "pipe_check", "hours": "50 hour", "season": "at_lay_up", "needs": "A washer"}
    told = client.post(f"{url}/instruct/", said, "application/json").json()
    assert told["instructions"][0]["hours"] == {"value": 50.0, "unit": "hour"}
    gone = client.post(f"{url}/instruct/remove/", {"work": "pipe_check"}, "application/json")
    assert gone.json()["instructions"] == []
    steps = {"steps": [{"text": "Drain it", "caution": "Hot oil burns"}, {"text": "Cover off"}]}
    told = client.put(f"{url}/dismantling/", steps, "application/json").json()
    assert [one["text"] for one in told["dismantling"]] == ["Drain it", "Cover off"]


def test_stranger_and_owner_write_no_design(
    client: Client, written: dict, unit: Unit, owner: Person, stranger: Person
) -> None:
    for person in (owner, stranger):
        client.force_login(person)
        for pk in (written["id"], unit.design_id):
            url = f"/api/v1/designs/{pk}"
            steps = {"steps": [{"text": "Anything"}]}
            assert client.put(f"{url}/dismantling/", steps, "application/json").status_code == 404
            said = {"work": "oil_change", "months": 1}
            assert client.post(f"{url}/instruct/", said, "application/json").status_code == 404


def test_photo_is_put_on_a_sheet_and_none_on_a_signed_one(
    client: Client, unit: Unit, fitter: Person, build: Build
) -> None:
    held = io.BytesIO()
    Image.new("RGB", (40, 30), "grey").save(held, "JPEG")
    draft = start_build(unit=unit, by=fitter, built_on=date(2024, 6, 1))
    client.force_login(fitter)

    def send(pk: int) -> int:
        photo = SimpleUploadedFile("p.jpg", held.getvalue(), "image/jpeg")
        said = {"photo": photo, "words": "Front bearing"}
        return client.post(f"/api/v1/builds/{pk}/photos/", said).status_code

    assert send(draft.pk) == 200
    assert draft.photos.get().words == "Front bearing"
    assert send(build.pk) in {409, 422}
    assert not build.photos.exists()
