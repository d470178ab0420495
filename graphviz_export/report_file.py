"""Writing a job's report: which format a file's ending asks for."""

from __future__ import annotations

from pathlib import Path

from graphviz_export.report import gather_report
from graphviz_export.write import write_files
from trees.errors import PaperError
from trees.walk import Walk


def write_report(walk: Walk, number: str, out: Path, *, invented: bool = False) -> Path:
    """Write a job's report as Markdown (`.md`) or PDF (`.pdf`), whole or not at all; PaperError with a sentence."""
    report = gather_report(walk, number, invented=invented)
    suffix = out.suffix.lower()
    if suffix == ".md":
        from graphviz_export.report_markdown import markdown

        data = markdown(report).encode()
    elif suffix == ".pdf":
        from graphviz_export.report_pages import pdf

        data = pdf(report)
    else:
        raise PaperError(f"A report is written as .md or .pdf; {out.name} is neither.")
    write_files((out,), [data])
    return out
