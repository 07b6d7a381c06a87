"""The JSON Schema of plant files, made from the records that read them, and shipped as ``plant-1.schema.json``.

It says what a file may look like to editors and other programs; that references name something is beyond it. Write
it anew with ``python -m model.storage.schema`` after raising the version, never within a version.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import msgspec

from model.storage.document import DocumentRecord
from model.storage.migrations import VERSION
from model.storage.ranges import PATTERN

SHIPPED = Path(__file__).with_name(f"plant-{VERSION}.schema.json")


def _hook(kind: type[Any]) -> dict[str, Any]:
    return {"type": "string", "pattern": PATTERN, "description": "Numbers such as 13-16,20"}


def schema() -> dict[str, Any]:
    """The schema of a plant file of the present version."""
    made = msgspec.json.schema(DocumentRecord, schema_hook=_hook)
    head = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": f"Glasswright plant, version {VERSION}",
    }
    return head | made


def schema_text() -> str:
    """The schema as it is shipped."""
    return json.dumps(schema(), indent=1, sort_keys=True, ensure_ascii=False) + "\n"


if __name__ == "__main__":
    SHIPPED.write_text(schema_text(), encoding="utf-8")
