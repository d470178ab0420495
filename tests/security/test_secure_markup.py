"""Text of a book or a job is text on every page: no script, no link, no picture, no code, whatever was typed."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest
from small_book import small_book

from graphviz_export.boxes import chart_of
from graphviz_export.dot import dot_text
from graphviz_export.letterhead import Letterhead
from graphviz_export.mermaid import mermaid_text
from graphviz_export.report_file import report_bytes
from graphviz_export.report_markdown import escape as markdown_escape
from graphviz_export.svg import svg_text
from trees.book.model import Book
from trees.walk import Walk

ATTACKS = [
    "<script>alert(1)</script>",
    "</style></title></textarea><script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "' onmouseover='alert(1)",
    "<svg/onload=alert(1)>",
    "<iframe src=javascript:alert(1)>",
    "<!--",
    "]]>",
    "&lt;script&gt;",
    "<a href='https://x.example'>y</a>",
    "<TABLE><TR><TD><IMG SRC='/etc/passwd'/></TD></TR></TABLE>",
    '"]; evil [URL="javascript:alert(1)"]; x [label="',
    '\\N \\G \\" \\',
    'click s201 href "javascript:alert(1)"',
    "%%{init: {'securityLevel': 'loose'}}%%",
    '#read("/etc/passwd") #eval("1+1") $x$ @ref <label> `raw` = head',
    '#image("/etc/passwd") \\u{41} */ // /*',
    "![x](https://x.example/y.png) [a](javascript:alert(1)) <https://x.example> https://x.example www.x.example",
    "[ref]: https://x.example",
    "| a | b |\n|---|---|",
    "```\ncode",
    "$$x$$ **bold** __b__ ~~s~~ # head",
]
EVERYTHING = " ".join(ATTACKS)


class Page(HTMLParser):
    """Gathers what a browser would take for an element, an attribute or a text."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: set[str] = set()
        self.attributes: list[tuple[str, str, str]] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.elements.add(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        """Note a text."""
        self.text += data


def hostile(text: str) -> Book:
    """Return the small book in which every text that a page may show is an attack."""
    book = small_book()
    return replace(
        book,
        title=text,
        edition=text,
        reviewed=text,
        trees={
            name: replace(
                tree,
                title=text,
                steps={key: replace(step, text=text, bring=(text,)) for key, step in tree.steps.items()},
            )
            for name, tree in book.trees.items()
        },
        checks={
            name: replace(
                check,
                wording=text,
                phone=text,
                how=text,
                answers=tuple(replace(answer, means=text) for answer in check.answers),
                bands=tuple(replace(answer, means=text) for answer in check.bands),
                items=tuple(replace(answer, means=text) for answer in check.items),
            )
            for name, check in book.checks.items()
        },
        causes={name: replace(cause, name=text, prevent=text) for name, cause in book.causes.items()},
        fixes={name: replace(fix, do=text, parts=(text,)) for name, fix in book.fixes.items()},
        cautions={name: replace(each, word=text, text=text, then=(text,)) for name, each in book.cautions.items()},
        families={name: replace(family, name=text) for name, family in book.families.items()},
    )


def job(text: str) -> Walk:
    """Return a job of the hostile book in which every free text is an attack too."""
    walk = Walk.begin(hostile(text), words=text, tree="smoke_on_start", place="bench", family="air2")
    walk = walk.taken_up(text, "2026-03-02").answer("no").answer("no").note(text)
    return walk.acknowledge("gas").answer("short") if walk.question.unread else walk.answer("short")


SHAPES = ("polygon", "polyline", "path", "ellipse", "text", "rect", "line")
HEAD = Letterhead(EVERYTHING, (EVERYTHING,), None, EVERYTHING)
PARTS = "html head meta title style body main section header h1 h2 h3 p br strong dl dt dd ul ol li svg text rect"
ALLOWED = {*PARTS.split(), *re.findall(r"\w+", "table thead tbody tr th td div footer img")}


@pytest.mark.parametrize("text", [*ATTACKS, EVERYTHING], ids=range(len(ATTACKS) + 1))
def test_html_holds_only_our_own_elements(text: str) -> None:
    """A report as HTML has our elements and attributes alone: no script, no handler, no address; the rest is text."""
    page = Page()
    page.feed(report_bytes(job(text), "J-1", "html", letterhead=HEAD).decode())
    assert page.elements <= ALLOWED
    for tag, name, value in page.attributes:
        assert not name.startswith("on"), (tag, name)
        assert name not in {"href", "srcset", "action", "formaction", "style", "xlink:href", "background"}, (tag, name)
        assert name != "src" or value.startswith("data:image/"), value
    policies = [value for tag, name, value in page.attributes if (tag, name) == ("meta", "content")]
    assert any(value.startswith("default-src 'none';") for value in policies)
    assert " ".join(text.split())[:40] in " ".join(page.text.split())


@pytest.mark.parametrize("text", [*ATTACKS, EVERYTHING], ids=range(len(ATTACKS) + 1))
def test_svg_holds_no_script_and_no_address(text: str) -> None:
    """A chart as SVG is well formed, has no script and no handler, and links only to its own steps."""
    root = ET.fromstring(svg_text(chart_of(hostile(text), "smoke_on_start")))
    for element in root.iter():
        assert element.tag.rpartition("}")[2] not in {
            "script",
            "foreignObject",
            "iframe",
            "image",
            "use",
            "animate",
            "set",
        }
        for name, value in element.attrib.items():
            plain = name.rpartition("}")[2]
            assert not plain.startswith("on"), name
            assert plain != "href" or value.startswith("#step-"), value


def test_dot_holds_no_attribute_of_an_enemy() -> None:
    """In DOT no text can end its string, begin a tag or become a picture or an address."""
    dot = dot_text(chart_of(hostile(EVERYTHING), "smoke_on_start"))
    assert set(re.findall(r'\bURL="([^"]*)"', dot)) == {
        f"#step-{box.no}" for box in chart_of(hostile(""), "smoke_on_start").boxes
    }
    assert "<IMG" not in dot
    assert "evil [" in dot.replace("&quot;", '"')  # as text
    strings_gone = re.sub(r'"[^"]*"', "", dot)
    assert "evil" not in re.sub(r"<TABLE.*</TABLE>", "", strings_gone)


def test_mermaid_holds_no_command_of_an_enemy() -> None:
    """In Mermaid every line is one of ours, and within quotes no sign of its syntax is left."""
    lines = mermaid_text(chart_of(hostile(EVERYTHING), "smoke_on_start")).splitlines()
    assert lines[0].startswith("%% ")
    assert "%%{" not in lines[0]
    assert lines[1] == "flowchart LR"
    for line in lines[2:]:
        assert re.fullmatch(r'    s\d+(?:[^"]{0,2}"[^"<>`{}%]*"[^"]{0,2}| -->(?:\|"[^"<>`{}%]*"\|)? s\d+)', line), line


def as_commonmark_sees(text: str) -> str:
    """Return a Markdown text without what is escaped."""
    return re.sub(r"\\[!-/:-@\[-`{-~]", "", text)


@pytest.mark.parametrize("text", ATTACKS)
def test_markdown_holds_no_link_and_no_markup(text: str) -> None:
    """In Markdown no link, picture, tag, code, table or formula is left once escaped signs are taken away."""
    left = as_commonmark_sees(markdown_escape(text))
    assert not re.search(r"[<>`*_\[\]|#~$]", left), left
    assert not re.search(r"https?:|javascript:|www\.", left, re.IGNORECASE), left
    assert "\n" not in left


@pytest.mark.parametrize("form", ["pdf", "json", "md"])
def test_every_other_form_is_made(form: str) -> None:
    """The same attacks reach PDF, JSON and Markdown as text; typst reads nothing and works nothing out for them."""
    data = report_bytes(job(EVERYTHING), "J-1", form, letterhead=HEAD)
    if form == "pdf":
        from io import BytesIO

        from pypdf import PdfReader

        reader = PdfReader(BytesIO(data))
        told = " ".join(page.extract_text() for page in reader.pages)
        assert "root:" not in told
        assert '#eval("1+1")'.replace('"', "") in told.replace('"', "").replace("“", "").replace("”", "")
        raw = str([page.get("/Annots") for page in reader.pages]) + str(reader.trailer["/Root"])
        assert "/JavaScript" not in raw
        assert "x.example" not in raw
        assert "/OpenAction" not in reader.trailer["/Root"]
    else:
        assert b"alert(1)" in data


def test_templates_read_only_their_data() -> None:
    """The templates of print pages read the data beside them and nothing else, and evaluate no text."""
    folder = Path(dot_text.__code__.co_filename).parent
    templates = list(folder.glob("*.typ"))
    assert templates
    for path in templates:
        text = re.sub(r"//.*", "", path.read_text(encoding="utf-8"))
        assert not re.search(r"\b(?:eval|read|plugin|cbor|yaml|toml|xml|csv)\(", text), path.name
        assert set(re.findall(r"\bjson\(([^)]*)\)", text)) <= {'"data.json"'}, path.name
        assert set(re.findall(r"\bimage\(([^,)]*)", text)) <= {"bytes(d.logo.data"}, path.name
