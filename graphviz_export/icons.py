"""Which small drawing stands before a mark: tools by their id in the book, places, minutes, opening, start."""

from __future__ import annotations

from collections.abc import Sequence

TOOL = "tool"
"""For tools that have no drawing of their own, so that a book can name any."""
_BY_TOOL = {
    "multimeter": "meter",
    "clamp_meter": "meter",
    "milliohm_meter": "meter",
    "co_meter": "meter",
    "exhaust_analyser": "meter",
    "back_probes": "probe",
    "test_lamp": "torch",
    "torch": "torch",
    "mirror": "eye",
    "endoscope": "eye",
    "parts_picture": "eye",
    "clock": "clock",
    "tape_measure": "rule",
    "feeler_gauge": "rule",
    "angle_gauge": "rule",
    "measuring_glass": "glass",
    "sample_glass": "glass",
    "clean_can": "can",
    "fuel_tray": "can",
    "thermometer": "thermometer",
    "fine_dust_mask": "mask",
    "extinguisher": "extinguisher",
}


def tool_icons(tools: Sequence[str]) -> tuple[str, ...]:
    """Return the names of the drawings for tools by their ids."""
    return tuple(_BY_TOOL.get(tool, TOOL) for tool in tools)
