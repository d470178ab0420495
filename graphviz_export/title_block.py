"""What every sheet says beside its boxes: title block, legend, list of sheets; the words of the chart's own making."""

from __future__ import annotations

from trees.language import N_, Said

LEGEND = (
    ("decision", N_("question")),
    ("reading", N_("reading")),
    ("action", N_("work")),
    ("run", N_("other chart, then back")),
    ("over_to", N_("go over to another chart")),
    ("return", N_("back to the sender")),
    ("end", N_("end")),
    ("stop", N_("STOP")),
)
"""Kind of box → its word."""

MARK_LEGEND = (
    ("clock", N_("minutes")),
    ("bench", N_("at the bench")),
    ("site", N_("on site")),
    ("phone", N_("by phone")),
    ("open", N_("unit open")),
    ("start", N_("uses a start")),
    ("tool", N_("tools")),
)
"""Drawing of a mark → its word."""

WORDS = Said(
    {
        "edition": N_("Edition"),
        "reviewed": N_("reviewed"),
        "fingerprint": N_("Fingerprint"),
        "bar": N_("must measure 100 mm"),
        "sheet": N_("sheet"),
        "circle": N_("go on at the step of that number"),
        "manual": N_("The maker's manual and local rules come first."),
        "list": N_("Sheets of this set"),
    }
)

SMALL_MM = 7.5 * 25.4 / 72
"""Type size of the title block."""
REST_OF_BLOCK_MM = 180.0
"""Width of the other cells beside the title."""
