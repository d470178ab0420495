"""Every sentence that a person may read goes through gettext: a scan of the source finds those that do not."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SCANNED = ("tui", "trees/walk", "trees/suspects", "graphviz_export")
MARKS = {"_", "N_", "ngettext", "pgettext"}
SHOWN_TRANSLATED = {"Command", "Binding"}
"""Records whose texts are translated where they are shown; tests/support/catalogue.py reads them."""
NOT_FOR_PEOPLE = {
    "RuntimeError",
    "cast",
    "compile",
    "replace",
    "startswith",
    "endswith",
    "removeprefix",
    "removesuffix",
}
"""Calls whose texts are patterns, types, or told to programmers only."""
READS_LIKE_WORDS = re.compile(
    r"[A-Za-z]{2,}[,;:]? [(“]?[A-Za-z]"  # two words side by side
    r"|^\W*[A-Z][a-z]{2,}"  # or a word with a capital
    r"|[a-z]{2,}[ .:,]* \{|\}[ ]+[(]?[a-z]{2,}"  # or a word beside something filled in
)
STYLE = re.compile(r"(?:(?:bold|reverse|strike|on|not|\$[\w-]+)\s*)+")
ALLOWED = {
    # names and addresses that are the same in every language
    "Sootline", "Uhr", "Arimo", "Arimo, Arial, Liberation Sans, sans-serif", "demo bench", "Logo",
    # kinds of record that JSON holds, told by Said tables to people
    "before", "after repair", "very strong", "not for this unit", "sootline report", "score interval (Wilson 1927)",
    "the book's own shares, words and minutes; no real job",
    # told to programs and to us only
    "{x} is no number", "take what is marked, chosen or typed", "go back without taking anything",
    "the map of the trees", "go to another part of the screen",
    r"\(at line (\d+), column (\d+)\)$",
    # types
    "SootlineApp", "App[None]",
    # names of typst, DOT, HTML, SVG and Mermaid
    "flowchart LR", 'class="wide"', 'class="wide pairs"',
}  # fmt: skip
ALLOWED_BEGIN = (
    "<",
    "{x}<",
    "digraph ",
    "  graph [",
    "  node [",
    "#set ",
    "g.node",
    "default-src",
    "\n@page",
    "tui.verbs.",
    "{{x}}",
)
"""How pieces of DOT, HTML, CSS and typst begin."""
ALLOWED_FILES = {
    "graphviz_export/faults.py": "what a layout has wrong is for a report to us",
}


def parents_of(tree: ast.AST) -> dict[ast.AST, ast.AST]:
    """Return child → parent."""
    return {child: node for node in ast.walk(tree) for child in ast.iter_child_nodes(node)}


def name_of(call: ast.Call) -> str:
    """Return the last part of the name that is called."""
    return call.func.id if isinstance(call.func, ast.Name) else getattr(call.func, "attr", "")


def told(node: ast.expr) -> str | None:
    """Return a text of the source, `{x}` for what is filled in; None for anything else."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        return node.value
    if isinstance(node, ast.JoinedStr):
        return "".join(str(p.value) if isinstance(p, ast.Constant) else "{x}" for p in node.values)
    return None


def is_data(node: ast.expr, above: list[ast.AST]) -> bool:
    """Tell whether a text is a key, an id, a type, a piece of another text or a docstring."""
    parent = above[0]
    if isinstance(parent, ast.Expr | ast.JoinedStr | ast.Compare | ast.Subscript | ast.MatchValue | ast.arg):
        return True
    if isinstance(parent, ast.FormattedValue) and node is parent.format_spec:
        return True
    if isinstance(parent, ast.Dict) and node in parent.keys:
        return True
    if isinstance(parent, ast.keyword) and parent.arg in {"id", "classes", "key_display", "shown_as", "keys", "dest"}:
        return True
    for below, one in zip([node, *above], above, strict=False):
        if isinstance(one, ast.AnnAssign) and below is one.annotation:
            return True
        if isinstance(one, ast.FunctionDef | ast.AsyncFunctionDef) and below is one.returns:
            return True
        if isinstance(one, ast.Assign) and any(isinstance(t, ast.Name) and t.id == "__all__" for t in one.targets):
            return True
    return False


def untranslated(source: str) -> Iterator[tuple[int, str]]:
    """Yield line and text of every literal that reads like words and is not marked, and of every marked f-string."""
    tree = ast.parse(source)
    parents = parents_of(tree)
    for node in ast.walk(tree):
        text = told(node) if isinstance(node, ast.expr) else None
        if text is None or not READS_LIKE_WORDS.search(text) or STYLE.fullmatch(text.strip()):
            continue
        above: list[ast.AST] = []
        one: ast.AST = node
        while one in parents:
            one = parents[one]
            above.append(one)
        inside = above[0] if isinstance(above[0], ast.Call) else None
        if inside is not None and name_of(inside) in MARKS and node in inside.args:
            if isinstance(node, ast.JoinedStr):
                yield node.lineno, f"an f-string can't be looked up: {text}"
            continue
        calls = {name_of(call) for call in above if isinstance(call, ast.Call)}
        if is_data(node, above) or calls & (SHOWN_TRANSLATED | NOT_FOR_PEOPLE):
            continue
        if text not in ALLOWED and not text.startswith(ALLOWED_BEGIN):
            yield node.lineno, text


FILES = sorted(path for part in SCANNED for path in (ROOT / part).rglob("*.py"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_sentence_bypasses_gettext(path: Path) -> None:
    """A text that reads like words is marked by `_`, `N_`, `ngettext` or `pgettext`, or stands on the short list."""
    if path.relative_to(ROOT).as_posix() in ALLOWED_FILES:
        return
    assert list(untranslated(path.read_text("utf-8"))) == []


@pytest.mark.parametrize(
    "line",
    [
        'print("Nothing was found.")',
        'raise WalkError(f"No tree named {tree}.")',
        'title = "Complaint"',
        'label = f"{n} jobs"',
        '_(f"{n} jobs")',
        'ROWS = {"a": "from memory"}',
    ],
)
def test_the_scan_finds(line: str) -> None:
    """What it looks for: sentences, words with a capital, words beside what is filled in, f-strings in `_`."""
    assert len(list(untranslated(line))) == 1


@pytest.mark.parametrize(
    "line",
    [
        '"""A docstring of a module."""',
        'print(_("Nothing was found."))',
        'raise WalkError(_("No tree named {tree}.").format(tree=tree))',
        'say(text, "bold $text on $error")',
        'kind == "over to"',
        'names["Released by"]',
        'KEYS = (Command("open", "enter", "Open", "Open the marked job."),)',
        'query = "#id"',
    ],
)
def test_the_scan_lets_pass(line: str) -> None:
    """What it leaves alone: marked texts, docstrings, styles, keys, what is compared, ids, command records."""
    assert list(untranslated(line)) == []
