"""How a reading near a band edge counts: for every band by the probability that the true value lies in it.

Only the suspects are weighed so. What a band finds or rules out, and where the tree goes, follows the reading as it is.
"""

from __future__ import annotations

from trees.book.model import Answer, Book, Check
from trees.errors import FigureError
from trees.figures.conformity import probability_between
from trees.walk.answers import Given, Known

LEAST = 1e-3
"""A band less likely than this is left out, so that a reading clear of all edges counts as it stands."""


def likely_bands(book: Book, given: Given, known: Known) -> tuple[tuple[Answer, float], ...]:
    """
    Return the bands that a reading may belong to, each with its probability; one band alone where it is clear.

    The true value is normally distributed round the reading with the standard uncertainty of the instrument, else of
    the check (JCGM 106:2012 clause 7). Empty where no band judged the reading: no number, scattering readings, no
    rated value.
    """
    verdict, check = given.verdict, given.check
    if check is None or verdict is None or verdict.edges is None or verdict.answer not in check.bands:
        return ()
    u = standard_uncertainty_of(book, check, known)
    chances = [(band, probability_between(verdict.value, u, low, high)) for band, low, high in verdict.edges.bands]
    likely = [(band, chance) for band, chance in chances if chance >= LEAST]
    if len(likely) < 2:
        return ((verdict.answer, 1.0),)
    total = sum(chance for _, chance in likely)
    return tuple((band, chance / total) for band, chance in likely)


def standard_uncertainty_of(book: Book, check: Check, known: Known) -> float:
    """
    Return the standard uncertainty of a check in its unit, through figures; 0 where it is not known.

    That of the instrument comes first, where the reading says what it was taken with.
    """
    given = known.of(check.id)
    if given is not None and given.uncertainty is not None:
        return given.uncertainty
    if check.uncertainty is not None:
        return check.uncertainty
    if check.form != "figure":
        return 0.0
    values = {name: known.value(reference) for name, reference in check.inputs.items()}
    if any(value is None for value in values.values()):
        return 0.0
    uncertainties = {name: _of_input(book, reference, known) for name, reference in check.inputs.items()}
    from trees.figures.uncertainty import work_out_in_full

    try:
        return work_out_in_full(
            check.figure, {name: value for name, value in values.items() if value is not None}, uncertainties
        ).uncertainty
    except FigureError:
        return 0.0


def _of_input(book: Book, reference: str, known: Known) -> float:
    """Return the uncertainty of a figure's input; a family value counts as exact."""
    subject, _, name = reference.partition(".")
    source = book.checks.get(name if subject == "figure" else subject)
    return standard_uncertainty_of(book, source, known) if source is not None else 0.0
