"""A chart of given boxes, out of no book: for tests of what is drawn, not of where it comes from."""

from __future__ import annotations

from graphviz_export.boxes import Box, Chart


def made_chart(*boxes: Box, begin: int | None = None, phone_exit: int | None = None) -> Chart:
    """Return a chart of these boxes that begins at the step named, or at the first."""
    return Chart(
        tree="made",
        title="Made for a test",
        book_title="Invented",
        edition="1",
        reviewed="2026-11-25",
        fingerprint="0123456789ab",
        language="en",
        begin=boxes[0].no if begin is None else begin,
        phone_exit=phone_exit,
        shared=False,
        boxes=boxes,
    )
