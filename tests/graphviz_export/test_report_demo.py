"""The twelve demo jobs as reports: each in every form, marked as invented, the customer's page one page."""

from __future__ import annotations

import json
from functools import cache
from io import BytesIO
from pathlib import Path

import jsonschema
import pypdf
import pytest
from shipped_book import shipped

import graphviz_export
from graphviz_export.letterhead import Letterhead
from graphviz_export.report import gather_report
from graphviz_export.report_file import drawn
from graphviz_export.report_records import INVENTED, Report
from tui.verbs.demo import played

HEAD = Letterhead("Workshop at the pier (invented)", ("Pier 3", "Harbour"), None, "112")
JOBS = tuple(f"d_{n:02d}" for n in range(1, 13))


@cache
def _report(job: str) -> Report:
    walk = played(shipped(), shipped().worked[job], "bench", "2026-01-05")
    return gather_report(walk, job.upper().replace("_", "-"), invented=True, sources=True)


def test_there_are_twelve() -> None:
    """These are all the demo jobs that the book has."""
    assert tuple(job.id for job in shipped().worked.values() if job.demo) == JOBS


@pytest.mark.parametrize("job", JOBS)
def test_every_form_says_what_matters(job: str) -> None:
    """Each form of each demo job holds its complaint, its causes, its mark as invented and the edition of the book."""
    report = _report(job)
    schema = json.loads((Path(graphviz_export.__file__).parent / "report_schema.json").read_text())
    told = json.loads(drawn(report, "json", HEAD))
    jsonschema.validate(told, schema)
    assert told["invented"] is True
    pages = [
        " ".join(page.extract_text().split()) for page in pypdf.PdfReader(BytesIO(drawn(report, "pdf", HEAD))).pages
    ]
    assert pages[1].startswith("The record behind report")
    assert all(INVENTED in page for page in pages[:2])
    texts = {
        "pdf": " ".join(pages),
        "html": drawn(report, "html", HEAD).decode(),
        "md": drawn(report, "md", HEAD).decode(),
    }
    wanted = [INVENTED, report.fingerprint, report.unit, *(c.name for c in (*report.roots, *report.consequences))]
    for form, text in texts.items():
        flat = _flat(text)
        for part in wanted:
            assert _flat(part) in flat, (form, part)
    assert HEAD.workshop in pages[0]


def _flat(text: str) -> str:
    """Return letters and digits only: hyphenation, quotes and escapes of a form don't matter here."""
    return "".join(char for char in text.replace("&#x27;", "") if char.isalnum())


def test_a_stopped_demo_job_is_told_as_stopped() -> None:
    """The job that an alarm stopped bears the stop above everything on its first page."""
    first = pypdf.PdfReader(BytesIO(drawn(_report("d_05"), "pdf", HEAD))).pages[0].extract_text()
    assert "STOPPED FOR SAFETY" in first
    assert first.index("STOPPED") < first.index("What was wrong")


def test_release_is_told_to_the_customer_with_readings_after_the_repair() -> None:
    """A released job's page shows the carbon monoxide that was measured before it was given back."""
    first = pypdf.PdfReader(BytesIO(drawn(_report("d_01"), "pdf", HEAD))).pages[0].extract_text()
    flat = " ".join(first.split())
    assert "The heater was released for use." in flat
    assert "Carbon monoxide in warm air" in flat
