"""Giving a kept photo to a reader who may see it."""

from pathlib import Path

from django.db.models.fields.files import FieldFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponseNotModified
from django.http.response import HttpResponseBase


def photo_answer(request: HttpRequest, file: FieldFile, name: str) -> HttpResponseBase:
    """Give a photo under a name; whether it may be seen was asked, also for a copy kept before."""
    # a photo is never written over; its file's name is its own
    etag = f'"{Path(file.name or "").stem}"'
    response: HttpResponseBase
    if request.headers.get("If-None-Match") == etag:
        response = HttpResponseNotModified()
    else:
        try:
            opened = file.open("rb")
        except FileNotFoundError as error:
            raise Http404 from error
        response = FileResponse(opened, content_type="image/jpeg")
        response["Content-Disposition"] = f'inline; filename="{name}"'
        response["X-Content-Type-Options"] = "nosniff"
    response["ETag"] = etag
    response["Cache-Control"] = "private, no-cache"
    return response
