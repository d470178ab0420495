"""What libyaml's syntax errors mean to somebody who writes a book: which slip it was, where, how to cure it."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from typing import Any

from yaml.tokens import FlowMappingEndToken, FlowSequenceEndToken, ScalarToken

from trees.book.model import Spot
from trees.book.problems import LINE_BREAK, Findings, Note, quoted

_KEY = re.compile(r"^(\s*(?:- +)*)((?:\"[^\"]*\"|'[^']*'|[^\s:#,\[\]{}\"'][^:#]*?)):(?: +|$)")
_ALONE = re.compile(r"^\s*[\w-]+:(?: |$)")
_GLUED = re.compile(r"^\s*(?:- +)*[\w-]+(:)[^\s:]")
_QUOTE_HELP = 'put the whole text into quotes: "…"'
_SIGNS = {
    "@": "a reserved sign",
    "`": "a reserved sign",
    "%": "a directive",
    "*": "an alias",
    "&": "an anchor",
    "!": "a tag",
    ">": "folded text",
    "|": "text over several lines",
    "[": "a list",
    "{": "a mapping",
    "?": "a key",
    ",": "the next item",
    "-": "a list item",
    "]": "the end of a list",
    "}": "the end of a mapping",
}


class _Failure:
    """One syntax error with all that is known about it."""

    def __init__(self, error: Exception, name: str, text: str, tokens: Sequence[Any], findings: Findings) -> None:
        self.name, self.text, self.findings = name, text, findings
        self.lines = LINE_BREAK.split(text)
        self.problem: str = getattr(error, "problem", None) or str(error)
        self.context: str = getattr(error, "context", None) or ""
        self.mark, self.context_mark = getattr(error, "problem_mark", None), getattr(error, "context_mark", None)
        self.last = tokens[-1] if tokens else None
        self.line, self.column = self._inside(self.mark)

    def _inside(self, mark: Any) -> tuple[int, int]:
        """Return line and column from 0, moved back to the last character where the file ends too early."""
        if mark is None:
            return 0, 0
        line, column = mark.line, mark.column
        if line < len(self.lines) and (column < len(self.lines[line]) or self.lines[line].strip()):
            return line, min(column, max(len(self.lines[line]) - 1, 0))
        line = min(line, len(self.lines) - 1)
        while line > 0 and not self.lines[line].strip():
            line -= 1
        return line, max(len(self.lines[line].rstrip()) - 1, 0)

    @property
    def sign(self) -> str:
        """The character at which libyaml gave up, or an empty text."""
        if self.mark is None or self.mark.line >= len(self.lines):
            return ""
        line, column = int(self.mark.line), int(self.mark.column)
        return self.lines[line][column : column + 1]

    @property
    def opened_above(self) -> bool:
        """Whether what libyaml was reading began on an earlier line."""
        return self.context_mark is not None and self.context_mark.line != self.line

    def spot(self, line: int | None = None, column: int | None = None, end: int | None = None) -> Spot:
        """Return a spot from counts that begin at 0; by default one character where libyaml gave up."""
        line = self.line if line is None else line
        column = self.column if column is None else column
        return Spot(self.name, line + 1, column + 1, (column + 1 if end is None else end) + 1)

    def spot_of_mark(self, mark: Any) -> Spot:
        """Return one character at a mark."""
        return self.spot(*self._inside(mark))

    def add(
        self, code: str, message: str, spot: Spot | None = None, cure: str = "", notes: Sequence[Note] = ()
    ) -> bool:
        """Report, and tell that nothing more need be looked for."""
        self.findings.add(code, message, spot or self.spot(), cure, notes)
        return True

    def value_spot(self) -> Spot:
        """Return the value of the `key: value` on the failing line, up to the end of the line."""
        line = self.lines[self.line]
        match = _KEY.match(line)
        start = match.end() if match else len(line) - len(line.lstrip())
        return self.spot(self.line, start, max(len(line.rstrip()), start + 1))


def explain(error: Exception, name: str, text: str, tokens: Sequence[Any], findings: Findings) -> None:
    """Report a syntax error in words for an author."""
    failure = _Failure(error, name, text, tokens, findings)
    if not any(rule(failure) for rule in _RULES):
        failure.add("yaml-syntax", f"YAML can't be read here: {failure.problem.splitlines()[0]}")


def _depth(failure: _Failure) -> bool:
    if "nesting depth" not in failure.problem and "recursion" not in failure.problem:
        return False
    return failure.add("too-deep", "this is nested too deep", cure="look for brackets that are not closed")


def _documents(failure: _Failure) -> bool:
    if "another document" in failure.problem or "document indicator" in failure.problem:
        cure = "remove the line; one file holds one document"
    elif "document start" in failure.problem:
        cure = "remove what stands after `...`, or the directive"
    else:
        return False
    return failure.add("second-document", "a second document begins here", failure.spot_of_mark(failure.mark), cure)


def _alias(failure: _Failure) -> bool:
    for word, sign in (("alias", "*"), ("anchor", "&"), ("tag", "!")):
        if word in failure.context or (word in failure.problem and "token" not in failure.problem):
            spot = failure.spot_of_mark(failure.context_mark or failure.mark)
            return _reserved(failure, sign, spot)
    return False


def _tab(failure: _Failure) -> bool:
    if "tab" not in failure.problem.split() and failure.sign != "\t":
        return False
    return failure.add(
        "tab", "a tab stands here", cure="indent and separate with spaces; set your editor to insert them"
    )


def _quote(failure: _Failure) -> bool:
    if "quoted scalar" not in failure.context or failure.context_mark is None:
        return False
    opened = failure.spot_of_mark(failure.context_mark)
    if "escape" in failure.problem:
        return failure.add(
            "bad-escape",
            "this backslash begins no known escape",
            cure=r"write \\ for a backslash, or use single quotes, in which a backslash is only itself",
        )
    return failure.add(
        "unclosed-quote", "the quote opened here is never closed", opened, "close it at the end of the text"
    )


def _after_quote(failure: _Failure) -> bool:
    last = failure.last
    if not (isinstance(last, ScalarToken) and last.style in {"'", '"'}) or "expected" not in failure.problem:
        return _after_quoted_key(failure)
    if last.end_mark.line != failure.line:
        return False
    if last.start_mark.line != last.end_mark.line:
        return failure.add(
            "unclosed-quote",
            "the quote opened here is closed only by the next quote, some lines below",
            failure.spot_of_mark(last.start_mark),
            "close it at the end of the text",
            [(failure.spot_of_mark(last.end_mark), "here YAML lost the thread")],
        )
    cure = "quote the whole text, or drop the quotes"
    if last.style == "'":
        cure = "use double quotes around text with an apostrophe"
    return failure.add("text-after-quote", "text goes on after the closing quote", cure=cure)


def _after_quoted_key(failure: _Failure) -> bool:
    before = failure.lines[failure.line][: failure.column].rstrip()
    if "mapping values" in failure.problem and before[-1:] in {"'", '"'} and _KEY.match(before):
        return failure.add("text-after-quote", "text goes on after the closing quote", cure="quote the whole text")
    return False


def _after_bracket(failure: _Failure) -> bool:
    last = failure.last
    if not isinstance(last, FlowMappingEndToken | FlowSequenceEndToken) or "expected key" not in failure.problem:
        return False
    if last.end_mark.line != failure.line or failure.sign in {"", "]", "}"}:
        return False
    if failure.sign == ",":
        return failure.add("missing-comma", "a comma stands where none belongs", cure="leave it out")
    spot = failure.value_spot()
    opening = failure.lines[failure.line][spot.column - 1]
    if opening not in "[{":
        return False
    return _reserved(failure, opening, spot)


def _colon(failure: _Failure) -> bool:
    in_flow = failure.context == "while parsing a flow mapping" and failure.sign == ":"
    if in_flow and failure.opened_above and _ALONE.match(failure.lines[failure.line]):
        return False  # the next key of a block: a bracket above was not closed
    if "mapping values are not allowed" not in failure.problem and not in_flow:
        return False
    line = failure.lines[failure.line]
    match = _KEY.match(line)
    if in_flow or (match and match.end() <= failure.column):
        spot = failure.spot() if in_flow else failure.value_spot()
        cure = _QUOTE_HELP + (", or put a comma before the next key" if in_flow else "")
        return failure.add("colon-in-text", "`: ` inside text makes a key of what stands before it", spot, cure)
    above = next((n for n in range(failure.line - 1, -1, -1) if failure.lines[n].strip()), None)
    if above is not None and (glued := _GLUED.match(failure.lines[above])):
        return failure.add(
            "missing-space",
            "a space is missing after this colon",
            failure.spot(above, glued.start(1)),
            "write `key: value`",
        )
    text = failure.lines[failure.line].lstrip()
    start = len(failure.lines[failure.line]) - len(text)
    notes = [(failure.spot(above, 0, 1), "the line above")] if above is not None else []
    return failure.add(
        "indentation",
        "this line is indented as if it belonged to the text above",
        failure.spot(failure.line, start, max(failure.column, start + 1)),
        "begin it in the same column as its neighbours",
        notes,
    )


def _flow(failure: _Failure) -> bool:
    if "did not find expected ','" not in failure.problem or failure.context_mark is None:
        return False
    opened = failure.spot_of_mark(failure.context_mark)
    opening = failure.lines[opened.line - 1][opened.column - 1]
    closing = {"[": "]", "{": "}"}.get(opening, "}")
    if failure.sign in {"]", "}"}:
        return failure.add(
            "unclosed-bracket",
            f"`{failure.sign}` closes what `{opening}` opened",
            cure=f"write `{closing}` here, or close the inner bracket first",
            notes=[(opened, "opened here")],
        )
    if opened.line - 1 != failure.line or not failure.sign:
        return failure.add(
            "unclosed-bracket",
            f"`{opening}` is opened here and not closed",
            opened,
            f"close it with `{closing}`; look also for a missing comma",
            [(failure.spot(), "here YAML lost the thread")],
        )
    return failure.add(
        "missing-comma", f"a comma or `{closing}` is missing before this", notes=[(opened, "opened here")]
    )


def _start_of_text(failure: _Failure) -> bool:
    """Text that begins with a sign which YAML keeps for itself."""
    sign, spot = failure.sign, failure.spot()
    if "entries are not allowed" in failure.problem:
        return failure.add(
            "reserved-sign",
            "`- ` begins a list item, which can't stand on the line of its key",
            cure="begin the list on the next line, or write it as `[one, two]`",
        )
    if "directive" in failure.context or "incompatible" in failure.problem:
        return _reserved(failure, "%", failure.spot_of_mark(failure.context_mark or failure.mark))
    if "block scalar" in failure.context and failure.context_mark is not None:
        spot = failure.spot_of_mark(failure.context_mark)
        return _reserved(failure, failure.lines[spot.line - 1][spot.column - 1], spot)
    if "node content" in failure.problem and sign == "," and "flow" in failure.context:
        return failure.add("missing-comma", "a comma stands where none belongs", cure="leave it out")
    if "node content" in failure.problem and not sign:
        at = failure.spot_of_mark(failure.last.start_mark) if failure.last is not None else spot
        return failure.add("unclosed-bracket", "the file ends inside brackets", at, "close what is open")
    if any(word in failure.problem for word in ("cannot start any token", "keys are not allowed", "node content")):
        return sign in _SIGNS and _reserved(failure, sign, spot)
    return False


def _reserved(failure: _Failure, sign: str, spot: Spot) -> bool:
    what = _SIGNS.get(sign, "a reserved sign")
    known = {"*": "alias", "&": "anchor", "!": "tag"}.get(sign, "reserved-sign")
    return failure.add(known, f"text can't begin with `{sign}`: YAML takes it for {what}", spot, _QUOTE_HELP)


def _missing_colon(failure: _Failure) -> bool:
    if "unexpected ':'" in failure.problem:
        return failure.add("missing-space", "a space is missing after this colon", cure="write `key: value`")
    if "could not find expected ':'" not in failure.problem or failure.context_mark is None:
        return False
    line, column = failure._inside(failure.context_mark)
    end = max(len(failure.lines[line].rstrip()), column + 1)
    if glued := _GLUED.match(failure.lines[line]):
        spot = failure.spot(line, glued.start(1))
        return failure.add("missing-space", "a space is missing after this colon", spot, "write `key: value`")
    return failure.add(
        "missing-colon",
        f"a colon is missing after {quoted(failure.lines[line][column:end])}",
        failure.spot(line, column, end),
        "write `key: value`; text that goes on from the line above must be indented deeper than its key",
    )


def _block(failure: _Failure) -> bool:
    if "did not find expected key" in failure.problem and failure.sign in {"]", "}"}:
        return failure.add("unclosed-bracket", f"`{failure.sign}` closes nothing", cure="leave it out")
    if failure.sign == ":" and ("expected key" in failure.problem or "node content" in failure.problem):
        return failure.add("missing-key", "the key before this colon is missing", cure="write `key: value`")
    if "expected key" not in failure.problem and "'-' indicator" not in failure.problem:
        return False
    notes = []
    if failure.context_mark is not None:
        notes = [(failure.spot_of_mark(failure.context_mark), "the entries it would belong to begin here")]
    return failure.add(
        "indentation",
        "this line begins in a column that fits nothing above",
        cure="begin it in the same column as its neighbours",
        notes=notes,
    )


_RULES: tuple[Callable[[_Failure], bool], ...] = (
    _depth,
    _documents,
    _tab,
    _quote,
    _alias,
    _after_quote,
    _after_bracket,
    _colon,
    _flow,
    _start_of_text,
    _missing_colon,
    _block,
)
