"""The digest of a signed sheet: over all that stands on it, so that a change behind it shows."""

import hashlib
import json
from datetime import UTC
from typing import Any

from advisory.register.models import Build

# Counts up when the content is written down in another way; a digest is made by the way of its day.
WAY = 1


def content_of(build: Build) -> dict[str, Any]:
    """Return what stands on a sheet, as plain data in a fixed order."""
    design = build.design or build.unit.design
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
            [row.position_id or 0, row.name, row.text, row.value]
            for row in build.entries.order_by()
            if row.text
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
            for row in build.measurements.order_by()
        ),
        "photos": sorted(
            [row.digest, row.position_id or 0, row.words] for row in build.photos.order_by()
        ),
    }


def draft_digest(build: Build) -> str:
    """Return the digest of what stands on a sheet now, whoever signs it."""
    return _digest(content_of(build))


def signed_digest(build: Build) -> str:
    """Return the digest of a sheet with who signed it and when, and who looked through it."""
    assert build.signed_at is not None
    signing = {
        "signed_by": build.signed_by_id,
        "signed_at": build.signed_at.astimezone(UTC).isoformat(),
        "checked_by": build.checked_by_id,
    }
    return _digest({**content_of(build), **signing})


def is_as_signed(build: Build) -> bool:
    """Say whether a signed sheet still is what its digest was made over."""
    return bool(build.digest) and build.digest == signed_digest(build)


def _digest(content: dict[str, Any]) -> str:
    written = json.dumps(content, ensure_ascii=False, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(written.encode()).hexdigest()
