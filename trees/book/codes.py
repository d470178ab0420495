"""Which kinds of problem there are: a stable code of our own, how grave it is, and what it means in a sentence.

README.md shows a wrong and a right example for each. A code is never renamed and never used for another kind.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Code:
    """One kind of problem."""

    severity: Literal["error", "warning"]
    means: str


_ERRORS = {
    # The file itself
    "missing-file": "A file that every book needs is not there.",
    "unreadable-file": "A file can't be opened, is no ordinary file, leads out of the book by a link, or is too large.",
    "empty-file": "A file holds nothing.",
    "not-utf-8": "A file is saved in another encoding than UTF-8.",
    "control-character": "An invisible character stands in the text.",
    # YAML
    "yaml-syntax": "YAML can't read this and we have no better word for why.",
    "tab": "A tab stands where spaces belong.",
    "indentation": "A line begins in a column that fits nothing above it.",
    "unclosed-quote": "A quote is opened and not closed.",
    "text-after-quote": "Text goes on after its closing quote.",
    "bad-escape": "A backslash in double quotes begins no known escape.",
    "unclosed-bracket": "A bracket is opened and not closed, or closed by the wrong one.",
    "missing-comma": "A comma is missing, or stands where none belongs.",
    "missing-colon": "A key has no colon.",
    "missing-space": "No space follows the colon of a key.",
    "colon-in-text": "A colon and a space inside text that is not quoted.",
    "reserved-sign": "Text begins with a sign that YAML keeps for itself.",
    "anchor": "Text begins with &, or an anchor was meant; a book takes none.",
    "alias": "Text begins with *, or an alias was meant; a book takes none.",
    "tag": "Text begins with !, or a tag was meant; a book takes none.",
    "merge-key": "The key << would merge another mapping in; a book takes none.",
    "key-not-text": "A list or mapping stands where a key belongs.",
    "duplicate-key": "The same key or name is given twice.",
    "second-document": "A file holds more than one document.",
    "too-deep": "Something is nested more than 64 levels deep.",
    # Keys and values
    "unknown-key": "A record has a key that it can't have.",
    "missing-key": "A record lacks a key that it needs.",
    "two-forms": "A record has keys that exclude each other.",
    "empty-value": "A key has no value.",
    "text-cut-by-comma": "A comma inside { } or [ ] ended a text that is not quoted.",
    "wrong-type": "A value is of another kind than belongs there.",
    "bad-name": "A name holds other signs than a-z, 0-9 and _.",
    "not-a-choice": "A value is none of the words that fit.",
    "not-a-date": "A date is not written as year-month-day.",
    "odd-number": "A number is written in a way that readers take differently.",
    "number-not-finite": "A number is infinite or none at all.",
    "number-out-of-range": "A number is too small, too large or not whole.",
    "list-length": "A list or mapping has too few or too many entries.",
    "unknown-word": "A likelihood word is not in book.yaml.",
    "chances-over-one": "Chances of levels that exclude each other sum to more than 1.",
    # Names
    "unknown-name": "A name leads nowhere.",
    "unknown-level": "A sign has no such level.",
    "unknown-answer": "A check or question has no such answer.",
    "unknown-reading": "A check gives no such reading.",
    "unknown-input": "A figure has no such input.",
    "missing-input": "A figure lacks an input that it needs.",
    "no-number": "A number is taken from a check that gives none.",
    "figure-circle": "Figures are worked out from one another.",
    "reserved-answer": "An answer is called unknown.",
    "duplicate-answer": "Two answers of one check have the same id.",
    "excludes-itself": "A sign excludes itself.",
    "cause-circle": "Causes lead to one another in a circle.",
    # Bands
    "band-edges": "A band lacks its edge, or has one too many.",
    "bands-not-rising": "A band's edge is not above the one before it.",
    "band-gap": "A reading between two bands belongs to neither.",
    "bands-overlap": "A reading belongs to two bands.",
    "unknown-unit": "A unit is none that we know.",
    "unit-differs": "A number would be taken in another unit than it is in.",
    "voltage-missing": "Edges by supply voltage lack the voltage of a family.",
    "plausible-range": "The plausible range does not rise.",
    "spread-of-one": "A spread is given for a single reading.",
    "of-without-bands": "A base for bands is given, but no bands.",
    # Standing
    "number-without-source": "A number has no source: nobody answers for it.",
    # Trees
    "unrouted": "An answer leads nowhere.",
    "routed-twice": "An answer has two ways out.",
    "no-unknown": "Cannot-tell leads nowhere.",
    "dead-end": "Nothing leads on from a step.",
    "unreachable": "No way leads to a step.",
    "circle": "Steps go round in a circle.",
    "number-twice": "Two steps have the same number.",
    "tree-shared": "A shared tree is used as one that is not, or has what only the other kind has.",
    "tree-not-shared": "A tree that is not shared is run by another.",
    "no-return": "A shared tree never comes back.",
    "return-unshared": "A tree that is not shared returns.",
    "not-for-place": "A step asks at a place what can't be done there.",
    # Safety
    "gate-unknown": "At the gate, cannot-tell does not count as the most dangerous answer.",
    "phone-inside": "A caller would have to open the unit.",
    "phone-dead-end": "A telephone walk meets a check that is not for the phone.",
    "phone-acts": "A caller would have to do something that is not listed under `caller_may`.",
    "start-without-danger": "A start or a run has no caution of DANGER before it.",
    "stop-not-danger": "A job is stopped for a caution that is not of DANGER.",
}

_WARNINGS = {
    "byte-order-mark": "A file begins with an invisible byte-order mark.",
    "unknown-file": "A file lies in the book's folder but is not read.",
    "text-cut-by-hash": "A comment begins one space after text: probably the text should go on.",
    "item-melted": "A list item became part of the text above it.",
    "curly-quotes": "Curly quotes became part of the text.",
    "hidden-space": "Text begins or ends with a no-break space.",
    "value-of-no-family": "A band edge stands with no family, so that it is asked for in every job.",
    "band-implausible": "No plausible reading falls into a band.",
    "figure-range": "A plausible reading is outside what a figure holds for.",
    "for-no-family": "A check applies to no family of the book.",
    "long-question": "A question has more than 20 words.",
    "long-answer": "An answer has more than 8 words.",
    "many-answers": "A check has more than nine answers.",
    "unused-then": "A `then` is never taken.",
    "unused-tree": "A tree is begun by nothing.",
    "unused-check": "A check is asked by no tree.",
    "unobserved-sign": "A sign is observed by no check.",
    "unseen-cause": "A cause shows in no sign.",
    "unreached-cause": "A cause can be found on no path.",
    "rootless-consequence": "No cause leads to a consequence, so that a job with it is never solved.",
    "causes-alike": "No check tells two causes apart, and the book does not say why.",
    "pair-told-apart": "The book calls two causes alike, but its checks tell them apart.",
    # Texts in other languages
    "translation-misnamed": "A file of texts bears the name of another language than it says.",
    "translation-of-nothing": "A text belongs to nothing that the book has.",
    "translation-outdated": "The texts of a record changed since they were translated.",
    "translation-lost-number": "A number of the book's text is not in its translation.",
}

CODES: Mapping[str, Code] = {
    **{code: Code("error", means) for code, means in _ERRORS.items()},
    **{code: Code("warning", means) for code, means in _WARNINGS.items()},
}
