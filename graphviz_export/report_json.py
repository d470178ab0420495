"""A report as JSON, in the open form that REPORT.md describes and `report_schema.json` holds."""

from __future__ import annotations

from dataclasses import asdict

from graphviz_export.letterhead import Letterhead
from graphviz_export.report_records import FIRST_WORDS, Report
from trees.language import _
from trees.text import json_text as safe_json

FORM = 1
"""Number of the form; a reader of form 1 may pass over keys that it does not know."""


def json_text(report: Report, letterhead: Letterhead) -> str:
    """Return the report as JSON text; the same report gives the same bytes."""
    whole = {
        "form": FORM,
        "what": "sootline report",
        "first_words": _(FIRST_WORDS),
        "workshop": {
            "name": letterhead.workshop,
            "address": list(letterhead.address),
            "emergency_number": letterhead.emergency_number,
        },
        **asdict(report),
    }
    return safe_json(whole, indent=1) + "\n"
