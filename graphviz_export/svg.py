"""The whole chart as one picture for the screen: laid out by the program, then made readable for people who hear it."""

from __future__ import annotations

import xml.etree.ElementTree as ET
from pathlib import Path

from graphviz_export.boxes import Box, Chart
from graphviz_export.dot import KIND_NAMES, dot_text
from graphviz_export.dot_program import run_dot
from trees.book.words import GRADES
from trees.language import _

SVG = "http://www.w3.org/2000/svg"
XLINK = "http://www.w3.org/1999/xlink"
FONTS = "Arimo, Arial, Liberation Sans, sans-serif"
_STYLE = "g.node:target polygon { stroke: #9b2423; stroke-width: 4 } a:focus-visible { outline: 3px solid #005387 }"


def svg_text(chart: Chart, dot: str | Path | None = None) -> str:
    """Return the chart as SVG with a title, a description and a link for every step; `dot` names another program."""
    ET.register_namespace("", SVG)
    ET.register_namespace("xlink", XLINK)
    root = ET.fromstring(run_dot(dot_text(chart), "svg", dot))  # noqa: S314 - our own program wrote it
    _describe_picture(root, chart)
    boxes = {f"step-{box.no}": box for box in chart.boxes}
    for group in root.iter(f"{{{SVG}}}g"):
        kind = group.get("class", "").split()
        if "node" in kind:
            _describe_step(group, chart, boxes[group.get("id", "")])
        elif "edge" in kind:
            _hide(group)
    for text in root.iter(f"{{{SVG}}}text"):
        text.set("font-family", FONTS)
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def told(chart: Chart, box: Box) -> str:
    """Return all that a box says as sentences, in the order in which it is read."""
    sentences = [box.text, *box.lines]
    sentences += [f"{GRADES[hazard.grade]}: {hazard.word}" for hazard in box.hazards]
    if box.marks():
        sentences.append(", ".join(box.marks()))
    for row in box.rows:
        way = _("go to step {target}").format(target=row.target) if row.target is not None else ""
        sentences.append(": ".join(part for part in (row.label, way) if part))
    if box.no == chart.phone_exit:
        sentences.append(_("By phone the walk comes here where a step can't be done from there"))
    return " ".join(text if text.endswith((".", "?", "!")) else f"{text}." for text in sentences if text)


def _describe_picture(root: ET.Element, chart: Chart) -> None:
    """Give the picture its name; a reader that can't see it gets the steps from their own descriptions."""
    about = _(
        "{n} steps, beginning at {begin}. {book_title}, edition {edition}, reviewed {reviewed}, "
        "{fingerprint}. The maker's manual and local rules come first."
    ).format(
        n=len(chart.boxes),
        begin=chart.begin,
        book_title=chart.book_title,
        edition=chart.edition,
        reviewed=chart.reviewed,
        fingerprint=chart.fingerprint,
    )
    style = _element("style", _STYLE)
    for position, element in enumerate((_element("title", chart.title), _element("desc", about), style)):
        root.insert(position, element)
    root.set("role", "group")
    root.set("aria-label", chart.title)
    root.set("lang", chart.language)


def _describe_step(group: ET.Element, chart: Chart, box: Box) -> None:
    name = f"{KIND_NAMES[box.kind]} {box.no}"
    for old in group.findall(f"{{{SVG}}}title"):
        group.remove(old)
    group.insert(0, _element("title", name))
    group.insert(1, _element("desc", told(chart, box)))
    group.set("role", "group")
    group.set("aria-label", f"{name}: {box.text}")


def _hide(group: ET.Element) -> None:
    """Lines repeat what the descriptions say; nobody wants to hear them."""
    for old in group.findall(f"{{{SVG}}}title"):
        group.remove(old)
    group.set("aria-hidden", "true")


def _element(name: str, text: str) -> ET.Element:
    element = ET.Element(f"{{{SVG}}}{name}")
    element.text = text
    return element
