"""The one-picture views and the texts: DOT, SVG, Mermaid, numbered list."""

from __future__ import annotations

import json
import re
import shutil
import stat
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from shipped_book import shipped

from graphviz_export.boxes import Chart, chart_of
from graphviz_export.dot import dot_text
from graphviz_export.dot_program import find_dot, run_dot
from graphviz_export.letters import line_em, wrap
from graphviz_export.mermaid import mermaid_text
from graphviz_export.step_list import list_text
from graphviz_export.svg import SVG, svg_text, told
from trees.book.model import Book
from trees.errors import PaperError

MakeBook = Callable[..., Book]
TREES = ("smoke_on_start", "supply", "commissioning")
NASTY = (
    'He said "stop" and \\" went \\N on',
    "<b>bold</b> & </TABLE>> ]; }",
    "a -> b; // # no comment %%",
    "#let x = 1 $x$ *y* _z_ @here",
    "\u202eעברית\u202c and العربية",
    "温度を測る",
    "hot \U0001f525 part",
    "&lt; &#34; &bogus;",
    "'",
    "\\",
    "x" * 300,
    "\x1b[31mred\x00",
)


def _graph(chart: Chart, dot: str | None = None) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(run_dot(dot_text(chart), "json0", dot))
    return found


@pytest.mark.parametrize("tree", TREES)
def test_dot_is_read_by_the_program_of_the_wheel(make_book: MakeBook, tree: str) -> None:
    """The program finds one node a step and one edge for every answer that leads on."""
    chart = chart_of(make_book(), tree)
    graph = _graph(chart)
    assert {node["name"] for node in graph["objects"]} == {f"s{box.no}" for box in chart.boxes}
    names = {node["_gvid"]: node["name"] for node in graph["objects"]}
    drawn = sorted((names[e["tail"]], e["tailport"], names[e["head"]]) for e in graph.get("edges", []))
    assert drawn == sorted((f"s{b.no}", f"r{row}:e", f"s{target}") for b in chart.boxes for row, target in b.ways())


def test_dot_is_read_by_the_dot_of_the_system_too(make_book: MakeBook) -> None:
    """Another `dot`, named by option, takes the same text."""
    if shutil.which("dot") is None:
        pytest.skip("NOT RUN: no dot on this machine")
    for text in NASTY:
        assert len(_graph(chart_of(make_book(title=text, wording=text), "smoke_on_start"), "dot")["objects"]) == 12


def test_every_shipped_tree_is_one_picture() -> None:
    """Each tree that ships is read by the program, with a description of every step."""
    book = shipped()
    assert book.trees
    for tree in book.trees:
        chart = chart_of(book, tree)
        root = ET.fromstring(svg_text(chart))
        assert set(_descriptions(root)) == {f"step-{box.no}" for box in chart.boxes}


@pytest.mark.parametrize("text", NASTY)
def test_no_text_can_break_the_picture(make_book: MakeBook, text: str) -> None:
    """Quotes, tags, entities, escapes and strange letters are data, in DOT, SVG, Mermaid and list."""
    chart = chart_of(make_book(title=text, wording=text), "smoke_on_start")
    wanted = chart.box(201).text
    graph = _graph(chart)
    assert len(graph["objects"]) == 12
    root = ET.fromstring(svg_text(chart))
    assert root.findtext(f"{{{SVG}}}title") == chart.title
    assert wanted in _descriptions(root)["step-201"]
    drawn = "".join("".join(node.itertext()) for node in _group(root, "step-201").iter(f"{{{SVG}}}text"))
    assert _letters(wanted) in _letters(drawn)
    nodes = [line for line in mermaid_text(chart).splitlines()[2:] if "-->" not in line]
    assert all(re.fullmatch(r"    s\d+\W+?\"[^\"<>`{}]*\"\W+", line) for line in nodes)
    assert _letters(wanted) in _letters(list_text(chart))


def _letters(text: str) -> str:
    """Return the text without white space, which the wrapping changes."""
    return "".join(text.split())


def _group(root: ET.Element, name: str) -> ET.Element:
    return next(group for group in root.iter(f"{{{SVG}}}g") if group.get("id") == name)


def _descriptions(root: ET.Element) -> dict[str, str]:
    groups = [group for group in root.iter(f"{{{SVG}}}g") if group.get("class", "").startswith("node")]
    return {group.get("id", ""): group.findtext(f"{{{SVG}}}desc", "") for group in groups}


@pytest.mark.parametrize("tree", TREES)
def test_svg_tells_every_step_to_people_who_hear_it(make_book: MakeBook, tree: str) -> None:
    """Every step has a title, a description with all its words and a link; lines are hidden from readers."""
    chart = chart_of(make_book(), tree)
    root = ET.fromstring(svg_text(chart))
    told_of = _descriptions(root)
    assert set(told_of) == {f"step-{box.no}" for box in chart.boxes}
    for box in chart.boxes:
        group = _group(root, f"step-{box.no}")
        assert told_of[f"step-{box.no}"] == told(chart, box)
        for words in (box.text, *box.lines, *(row.label for row in box.rows)):
            assert words in told_of[f"step-{box.no}"]
        assert str(box.no) in (group.findtext(f"{{{SVG}}}title") or "")
        link = group.find(f".//{{{SVG}}}a")
        assert link is not None
        assert link.get("{http://www.w3.org/1999/xlink}href") == f"#step-{box.no}"
    edges = [group for group in root.iter(f"{{{SVG}}}g") if group.get("class") == "edge"]
    assert all(edge.get("aria-hidden") == "true" for edge in edges)
    assert {text.get("font-family") for text in root.iter(f"{{{SVG}}}text")} == {
        "Arimo, Arial, Liberation Sans, sans-serif"
    }


def test_svg_text_never_leaves_its_box(make_book: MakeBook) -> None:
    """Widths of cells are estimated from above, so a line of text is narrower than the box around it."""
    chart = chart_of(make_book(wording="Температура на выходе, градусов; 温度を測る"), "smoke_on_start")
    root = ET.fromstring(svg_text(chart))
    for box in chart.boxes:
        group = _group(root, f"step-{box.no}")
        shapes = [p.get("points", "") for p in group.iter(f"{{{SVG}}}polygon")]
        shapes += [p.get("d", "") for p in group.iter(f"{{{SVG}}}path")]
        numbers = [float(n) for shape in shapes for n in re.findall(r"[-\d.]+", shape)]
        widest = max(numbers[::2]) - min(numbers[::2])
        for text in group.iter(f"{{{SVG}}}text"):
            assert line_em("".join(text.itertext())) * 14.0 <= widest + 0.5


def test_lines_are_estimated_wider_than_the_font_draws_them() -> None:
    """The estimate is an upper one for the letters of Arimo, measured by the typesetter."""
    import typst

    from graphviz_export.typst_run import choose_fonts

    samples = [
        "Gap between impeller and housing",
        "WWWW MMMM",
        "mmm @@@ %%%",
        "Температура выше",
        "0.2 to 0.4 mm: Ω µ °",
    ]
    fonts = choose_fonts("".join(samples))
    for sample in samples:
        text = json.dumps(sample, ensure_ascii=False)
        source = f'#set text(font: "Arimo", size: 100pt)\n#context [#metadata(measure(text({text})).width.pt())<w>]'
        width = float(json.loads(typst.query(source.encode(), "<w>", field="value", one=True, font_paths=fonts.fonts)))
        assert width / 100 <= line_em(sample)


def test_wrapping_keeps_every_letter_and_the_width() -> None:
    """A word that is wider than the line is cut; nothing is lost."""
    lines = wrap("short " + "w" * 60 + " end", 10.0)
    assert all(line_em(line) <= 10.0 for line in lines)
    assert "".join(lines).replace(" ", "") == "short" + "w" * 60 + "end"


def test_the_list_keeps_the_number_with_its_answer(make_book: MakeBook) -> None:
    """Every answer of every step stands in the list with the number to go to, and no line is too long."""
    chart = chart_of(make_book(), "smoke_on_start")
    text = list_text(chart, 60)
    assert max(len(line) for line in text.splitlines()) <= 60
    flat = " ".join(text.split())
    for box in chart.boxes:
        for row in box.rows:
            way = f" → {row.target}" if row.target is not None else ""
            assert f"- {row.label or 'then'}{way}" in flat
    assert not re.search(r"^\s*\d+$", text, re.MULTILINE)


def test_mermaid_has_a_node_a_step_and_an_edge_an_answer(make_book: MakeBook) -> None:
    """Ids never collide with words of that language."""
    chart = chart_of(make_book(), "smoke_on_start")
    lines = mermaid_text(chart).splitlines()
    assert sum("-->" in line for line in lines) == sum(len(box.ways()) for box in chart.boxes)
    assert all(any(line.strip().startswith(f"s{box.no}") for line in lines) for box in chart.boxes)


def test_the_program_comes_from_the_wheel() -> None:
    """Without an option the layout program is the one installed with us, whatever PATH says."""
    assert find_dot().name.startswith("graphviz-pure")


def test_a_program_that_is_not_there_is_named() -> None:
    """A wrong option is one clear sentence."""
    with pytest.raises(PaperError, match="“no_such_dot” is not there"):
        find_dot("no_such_dot")


def _program(folder: Path, lines: str) -> str:
    program = folder / "dot"
    program.write_text(f"#!/bin/sh\n{lines}\n")
    program.chmod(program.stat().st_mode | stat.S_IXUSR)
    return str(program)


def test_a_program_that_hangs_is_given_up(tmp_path: Path) -> None:
    """Layout has a limit on time and says what to do instead."""
    with pytest.raises(PaperError, match=r"not ready after 0.2 s.*PDF sheets"):
        run_dot("digraph {}", "svg", _program(tmp_path, "exec sleep 30"), timeout_s=0.2)


def test_a_program_that_fails_is_quoted(tmp_path: Path) -> None:
    """What the program says is passed on in one line."""
    with pytest.raises(PaperError, match="gave up: syntax error near line 1"):
        run_dot("digraph {", "svg", _program(tmp_path, "echo 'syntax error near line 1' >&2; exit 1"))
