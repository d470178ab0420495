"""The reasons of a cause as sentences, the number beside every word."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trees.language import N_, Said, _
from trees.suspects.why import Weight, Why

_SIZES = Said(
    {
        ("slight", True): N_("slight for it"),
        ("slight", False): N_("slight against it"),
        ("moderate", True): N_("moderate for it"),
        ("moderate", False): N_("moderate against it"),
        ("strong", True): N_("strong for it"),
        ("strong", False): N_("strong against it"),
        ("very strong", True): N_("very strong for it"),
        ("very strong", False): N_("very strong against it"),
    }
)


def in_words(reasons: Why, causes: Mapping[str, str], answers: Mapping[str, str]) -> tuple[str, ...]:
    """
    Return a sentence per answer and one for the sum.

    `causes` gives the name of each cause, `answers` the text of each answer by the label it entered under; what is
    missing there is shown as its id.
    """
    name = causes.get(reasons.cause, reasons.cause)
    lines = [_("{name}: {start} before any answer.").format(name=name, start=percent(reasons.start))]
    lines += [_line(weight, name, causes, answers) for weight in reasons.weights]
    lines.append(
        _("Together {total_db}: {start} became {end}.").format(
            total_db=_db(reasons.total_db), start=percent(reasons.start), end=percent(reasons.end)
        )
    )
    return tuple(lines)


def percent(chance: float) -> str:
    """Write a chance as a person reads it; never 0 % or 100 % for what is not certain."""
    if chance in {0.0, 1.0}:
        return f"{chance:.0%}".replace("%", " %")
    if chance < 0.005:
        return _("under 1 %")
    return _("over 99 %") if chance > 0.995 else f"{chance * 100:.0f} %"


def _db(db: float) -> str:
    if math.isinf(db):
        return _("certain") if db > 0 else _("excluded")
    return f"{db:+.1f} dB".replace("-", "\u2212")


def _line(weight: Weight, name: str, causes: Mapping[str, str], answers: Mapping[str, str]) -> str:
    told = answers.get(weight.answer, weight.answer)
    line = _("{told}: {weight} ({db}), {before} became {after}").format(
        told=told, weight=_size(weight), db=_db(weight.db), before=percent(weight.before), after=percent(weight.after)
    )
    if weight.rival is not None:
        rival = causes.get(weight.rival, weight.rival)
        line += (
            _("; it makes {rival} likelier, which explains the same, so {name} is needed less").format(
                rival=rival, name=name
            )
            if weight.rival_rose
            else _("; it makes {rival} less likely, so {name} is needed more").format(rival=rival, name=name)
        )
    if weight.without is not None:
        line += _(". Without this answer it would be {without}").format(without=percent(weight.without))
    return f"{line}."


def _size(weight: Weight) -> str:
    if weight.strength == "none":
        return _("hardly moves it")
    return _SIZES[weight.strength, weight.db > 0]
