"""Which numbers a person typed: comma or point, thousands, fractions, several in one line.

Nothing here knows units. What can be read in two ways is never guessed: the sentence names both meanings.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Sequence

from trees.errors import ReadingError
from trees.figures.plain import plain_number
from trees.language import _

_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u2009\u202f\t"), " ")
_MINUS = dict.fromkeys(map(ord, "−–‒"), "-")
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅔": "2/3"}

NUMBER = re.compile(
    r"(?<![A-Za-zµΩ°^*/0-9.,+-])[+-]?(?:"
    r"[0-9]+/[0-9]+(?![0-9.,])"
    r"|[0-9]{1,3}(?:'[0-9]{3})+(?:[.,][0-9]+)?(?![0-9])"
    r"|[0-9]+(?:[.,][0-9]+)*(?:[eE][+-]?[0-9]+)?"
    r"|[.,][0-9]+"
    r")"
)
_GROUP_HEAD = re.compile(r"[+-]?[1-9][0-9]{0,2}")
_GROUP_TAIL = re.compile(r"[0-9]{3}")
_GROUP_LAST = re.compile(r"[0-9]{3}(?:[.,][0-9]+)?")
_THREE_AFTER = re.compile(r"[+-]?([1-9][0-9]{0,2})([.,])([0-9]{3})")


def tidy(text: str) -> str:
    """Return typed text with plain spaces, plain minus signs and fractions spelt out."""
    text = text.translate(_SPACES).translate(_MINUS)
    text = re.sub(f"[{''.join(_VULGAR)}]", lambda m: f" {_VULGAR[m.group()]}", text).replace("⁄", "/")
    return re.sub(r"^([+-])\s+(?=[0-9.,])", r"\1", text.strip())


def read_number(token: str, *, counts: bool = False) -> float:
    """Turn one token that NUMBER matched into a number; ReadingError where it means two things or none.

    `counts` is true for hours and counts, where three places after a point are as unlikely as after a comma.
    """
    if "/" in token:
        return _fraction(token)
    plain = token.replace("'", "")
    three = _THREE_AFTER.fullmatch(plain)
    if three and (three.group(2) == "," or counts):
        _ask(token, plain_number(float(f"{three.group(1)}.{three.group(3)}"), 7), three.group(1) + three.group(3))
    marks = re.findall(r"[.,]", plain)
    if len(set(marks)) == 1 and len(marks) > 1:
        _require(re.fullmatch(r"[+-]?[0-9]{1,3}(?:[.,][0-9]{3})+", plain), token)
        return float(re.sub(r"[.,]", "", plain))
    if len(marks) > 1:
        decimal = marks[-1]
        other = "," if decimal == "." else "."
        group, point = re.escape(other), re.escape(decimal)
        _require(re.fullmatch(rf"[+-]?[0-9]{{1,3}}(?:{group}[0-9]{{3}})+{point}[0-9]+", plain), token)
        plain = plain.replace(other, "")
    return float(plain.replace(",", "."))


def _fraction(token: str) -> float:
    sign = -1.0 if token.startswith("-") else 1.0
    top, bottom = (int(part) for part in token.lstrip("+-").split("/"))
    if bottom == 0 or top >= bottom or len(token) > 9:
        raise ReadingError(_("`{token}` is no fraction below 1; put a ; between two readings.").format(token=token))
    return sign * top / bottom


def read_numbers(tokens: list[str], *, counts: bool = False) -> list[float]:
    """Read tokens that stood beside each other: `1 190` is one number, `6.5 6.6 6.4` are three, `3 1/2` is one."""
    if len(tokens) == 2 and "/" in tokens[1] and re.fullmatch(r"[+-]?[0-9]+", tokens[0]):
        whole = float(tokens[0])
        return [whole + (-1.0 if tokens[0].startswith("-") else 1.0) * _fraction(tokens[1])]
    if len(tokens) == 1:
        return [read_number(tokens[0], counts=counts)]
    if _looks_grouped(tokens):
        parts = [float(token.replace(",", ".")) for token in tokens]
        joined = "".join(tokens)
        apart = [abs(part) for part in parts]
        if min(apart) == 0 or max(apart) / min(apart) >= 10:
            return [read_number(joined)]
        _ask(
            " ".join(tokens),
            _("{joined} (one number)").format(joined=joined),
            _("{listed} ({n} readings)").format(listed="; ".join(tokens), n=len(tokens)),
        )
    numbers = [read_number(token, counts=counts) for token in tokens]
    if any(map(_looks_grouped, itertools.pairwise(tokens))) and max(numbers) >= 10 * min(numbers):
        raise ReadingError(
            _("`{listed}` can be read in several ways: put a ; between the readings.").format(listed=" ".join(tokens))
        )
    return numbers


def _looks_grouped(tokens: Sequence[str]) -> bool:
    head, *middle, last = tokens
    return bool(
        _GROUP_HEAD.fullmatch(head)
        and all(_GROUP_TAIL.fullmatch(token) for token in middle)
        and _GROUP_LAST.fullmatch(last)
    )


def _ask(token: str, one: str, other: str) -> None:
    raise ReadingError(
        _("`{token}` can mean {one} or {other}: type the one that is meant.").format(token=token, one=one, other=other)
    )


def _require(match: re.Match[str] | None, token: str) -> None:
    if match is None:
        raise ReadingError(
            _("`{token}` is no number: type it with one comma or point, like 1234.5.").format(token=token)
        )
