"""`sootline figure`: work a figure out, or list them all."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import Any

from trees.errors import FigureError
from trees.figures import FigureInfo, figure_info, registry
from trees.figures.registry import FIELD_NAMES, STATUS_NAMES
from trees.figures.unit_names import printable
from trees.figures.units import format_value
from trees.language import _
from tui.command_line import Exit
from tui.typed_figure import TypedFigure, range_words, work_out_typed


def run(options: argparse.Namespace) -> int:
    """Print one figure with all that belongs to it, or one line for each figure."""
    if options.list or options.name is None:
        figures = tuple(registry().values())
        print(as_text({"figures": [listed(info) for info in figures]}) if options.format == "json" else names(figures))
        return Exit.FINE
    info = figure_info(options.name)
    found = work_out_typed(info, pairs(options.inputs))
    print(as_text(as_json(found)) if options.format == "json" else told(found))
    return Exit.FINE


def pairs(arguments: Sequence[str]) -> dict[str, str]:
    """Return `key=value` arguments by key; FigureError where one is none, is empty or comes twice."""
    found: dict[str, str] = {}
    for argument in arguments:
        key, equals, value = argument.partition("=")
        key = key.strip()
        if not equals or not key:
            raise FigureError(
                _("`{argument}` is no input; write key=value, like length_m=31ft.").format(argument=printable(argument))
            )
        if not value.strip():
            raise FigureError(
                _("`{key}` has no value; write it like {key}=12.4, or leave it out.").format(key=printable(key))
            )
        if key in found:
            raise FigureError(_("`{key}` is given twice.").format(key=printable(key)))
        found[key] = value
    return found


def names(figures: Sequence[FigureInfo]) -> str:
    """Return one line for each figure under the name of its field."""
    wide = max(len(info.name) for info in figures)
    rows, field = [], ""
    for info in figures:
        if info.field != field:
            field = info.field
            rows.append(f"{FIELD_NAMES[field]}:")
        unit = _("number") if info.result.unit == "1" else info.result.unit
        rows.append(f"  {info.name:<{wide}}  {unit:<9} {info.title}")
    return "\n".join(rows)


def inputs_of(info: FigureInfo) -> list[str]:
    """Return what a figure wants, a line for each input, then what it gives."""
    rows = [f"{info.title}: {info.meaning}"]
    for name, field in info.inputs.items():
        rows.append(f"{name}: {field.meaning} ({range_words(field)})")
    return [*rows, _("Gives     {meaning}").format(meaning=info.result.meaning)]


def told(found: TypedFigure) -> str:
    """Return a figure worked out as text for a person."""
    info, worked = found.info, found.worked
    given = []
    for name, field in info.inputs.items():
        typed = found.inputs.get(name)
        text = (
            typed.text
            if typed
            else _("{values} (not given)").format(values=format_value(worked.values[name], field.unit))
        )
        given.append((field.label, text, _("holds for {field}").format(field=range_words(field))))
    beside = [(detail.label, format_value(detail.value, detail.unit), "") for detail in worked.details]
    if found.shares:
        beside.append((_("The uncertainty comes from"), found.shares, ""))
    rows = [f"{info.title}: {worked.text}", "", *_columns(given)]
    for block in (_columns(beside), [*worked.remarks, *found.notes]):
        rows += ["", *block] if block else []
    rows += [
        "",
        _("Gives     {meaning}").format(meaning=info.result.meaning),
        _("Formula   {formula}").format(formula=info.formula),
    ]
    rows += [
        _("Accuracy  {accuracy}").format(accuracy=info.accuracy),
        _("Source    {source} ({status})").format(source=info.source, status=STATUS_NAMES[info.status]),
    ]
    return "\n".join(rows)


def _columns(table: Sequence[tuple[str, str, str]]) -> list[str]:
    wide, middle = (max((len(row[i]) for row in table), default=0) for i in (0, 1))
    return [f"  {label:<{wide}}  {text:<{middle}}  {extra}".rstrip() for label, text, extra in table]


def as_json(found: TypedFigure) -> dict[str, Any]:
    """Return a figure worked out as plain data; the keys stay."""
    info, worked = found.info, found.worked
    inputs = {}
    for name, field in info.inputs.items():
        typed = found.inputs.get(name)
        inputs[name] = {
            "value": worked.values[name],
            "unit": field.unit,
            "uncertainty": typed.uncertainty if typed else 0.0,
            "typed": typed.typed if typed else None,
            "range": list(field.range),
            "meaning": field.meaning,
        }
    return {
        "figure": info.name,
        "title": info.title,
        "field": info.field,
        "meaning": info.meaning,
        "inputs": inputs,
        "result": {
            "value": worked.value,
            "unit": info.result.unit,
            "uncertainty": worked.uncertainty,
            "text": worked.text,
            "meaning": info.result.meaning,
        },
        "contributions": [{"input": c.name, "uncertainty": c.uncertainty} for c in worked.contributions],
        "details": [{"label": d.label, "value": d.value, "unit": d.unit} for d in worked.details],
        "remarks": list(worked.remarks),
        "notes": list(found.notes),
        "formula": info.formula,
        "accuracy": info.accuracy,
        "source": info.source,
        "status": info.status,
    }


def listed(info: FigureInfo) -> dict[str, Any]:
    """Return a figure's registration as plain data; the keys stay."""
    return {
        "figure": info.name,
        "title": info.title,
        "field": info.field,
        "meaning": info.meaning,
        "inputs": {
            name: {
                "unit": field.unit,
                "range": list(field.range),
                "default": field.default,
                "meaning": field.meaning,
            }
            for name, field in info.inputs.items()
        },
        "result": {"unit": info.result.unit, "meaning": info.result.meaning},
        "formula": info.formula,
        "accuracy": info.accuracy,
        "source": info.source,
        "status": info.status,
    }


def as_text(data: dict[str, Any]) -> str:
    """Return plain data as JSON text."""
    from trees.text import json_text

    return json_text(data, indent=1)
