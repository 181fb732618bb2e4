"""The digest of a signed sheet: over all that stands on it, so that a change behind it shows."""

import hashlib
import json
from collections.abc import Iterable
from datetime import UTC
from typing import Any

from advisory.register.models import Build, BuildMeasurement, BuildPhoto, SheetEntry

# Counts up when the content is written down in another way; a digest is made by the way of its day.
WAY = 1


def content_of(
    build: Build,
    *,
    entries: Iterable[SheetEntry] | None = None,
    figures: Iterable[BuildMeasurement] | None = None,
    photos: Iterable[BuildPhoto] | None = None,
) -> dict[str, Any]:
    """Return what stands on a sheet, as plain data in a fixed order; its rows, if not told."""
    design = build.design or build.unit.design
    entries = build.entries.order_by() if entries is None else entries
    figures = build.measurements.order_by() if figures is None else figures
    photos = build.photos.order_by() if photos is None else photos
    return {
        "way": WAY,
        "unit": build.unit_id,
        "workshop": build.workshop_id,
        "design": [design.pk, design.name, design.version],
        "built_on": build.built_on.isoformat(),
        "revision": build.revision,
        "corrects": build.corrects_id,
        "reason": build.reason,
        "new_white_metal": build.new_white_metal,
        "notes": build.notes,
        "entries": sorted(
            [row.position_id or 0, row.name, row.text, row.value] for row in entries if row.text
        ),
        "figures": sorted(
            [
                row.position_id,
                row.quantity,
                row.value,
                row.uncertainty,
                row.as_typed,
                row.instrument,
                row.reckoned,
            ]
            for row in figures
        ),
        "photos": sorted([row.digest, row.position_id or 0, row.words] for row in photos),
    }


def draft_digest(build: Build) -> str:
    """Return the digest of what stands on a sheet now, whoever signs it."""
    return _digest(content_of(build))


def signed_digest(build: Build, **rows: Any) -> str:
    """Return the digest of a sheet with who signed it and when, and who looked through it.

    `rows` as `content_of` takes them, where the caller has them.
    """
    assert build.signed_at is not None
    signing = {
        "signed_by": build.signed_by_id,
        "signed_at": build.signed_at.astimezone(UTC).isoformat(),
        "checked_by": build.checked_by_id,
    }
    return _digest({**content_of(build, **rows), **signing})


def is_as_signed(build: Build, **rows: Any) -> bool:
    """Say whether a signed sheet still is what its digest was made over; `rows` as above."""
    return bool(build.digest) and build.digest == signed_digest(build, **rows)


def _digest(content: dict[str, Any]) -> str:
    written = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(written.encode()).hexdigest()
