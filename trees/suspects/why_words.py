"""The reasons of a cause as sentences, the number beside every word."""

from __future__ import annotations

import math
from collections.abc import Mapping

from trees.suspects.why import Weight, Why


def in_words(reasons: Why, causes: Mapping[str, str], answers: Mapping[str, str]) -> tuple[str, ...]:
    """
    Return a sentence per answer and one for the sum.

    `causes` gives the name of each cause, `answers` the text of each answer by the label it entered under; what is
    missing there is shown as its id.
    """
    name = causes.get(reasons.cause, reasons.cause)
    lines = [f"{name}: {percent(reasons.start)} before any answer."]
    lines += [_line(weight, name, causes, answers) for weight in reasons.weights]
    lines.append(f"Together {_db(reasons.total_db)}: {percent(reasons.start)} became {percent(reasons.end)}.")
    return tuple(lines)


def percent(chance: float) -> str:
    """Write a chance as a person reads it; never 0 % or 100 % for what is not certain."""
    if chance in {0.0, 1.0}:
        return f"{chance:.0%}".replace("%", " %")
    if chance < 0.005:
        return "under 1 %"
    return "over 99 %" if chance > 0.995 else f"{chance * 100:.0f} %"


def _db(db: float) -> str:
    if math.isinf(db):
        return "certain" if db > 0 else "excluded"
    return f"{db:+.1f} dB".replace("-", "\u2212")


def _line(weight: Weight, name: str, causes: Mapping[str, str], answers: Mapping[str, str]) -> str:
    told = answers.get(weight.answer, weight.answer)
    line = f"{told}: {_size(weight)} ({_db(weight.db)}), {percent(weight.before)} became {percent(weight.after)}"
    if weight.rival is not None:
        rival = causes.get(weight.rival, weight.rival)
        line += (
            f"; it makes {rival} likelier, which explains the same, so {name} is needed less"
            if weight.rival_rose
            else f"; it makes {rival} less likely, so {name} is needed more"
        )
    if weight.without is not None:
        line += f". Without this answer it would be {percent(weight.without)}"
    return f"{line}."


def _size(weight: Weight) -> str:
    if weight.strength == "none":
        return "hardly moves it"
    return f"{weight.strength} {'for' if weight.db > 0 else 'against'} it"
