"""The suspects of many jobs in one call, with numpy: rows of plain answers to the chance of every cause.

Rows with the same striking answers share one plan and go through the cover program together; what the normal answers
take from each cause is one matrix product for all of them. Needs numpy.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from trees.book.words import UNKNOWN
from trees.suspects.batch_cover import Array, run_rows
from trees.suspects.case import case_of
from trees.suspects.evidence import Evidence
from trees.suspects.foresee import Says
from trees.suspects.network import Network
from trees.suspects.plan import plan_of
from trees.suspects.posterior import p_any_cause, posterior

_BLOCK = 32
"""Rows of one product of matrices: so small that it is not split over threads, which costs more than it saves."""


@dataclass(frozen=True, slots=True)
class Suspects:
    """What many rows of answers make of the causes, in the order of the rows."""

    marginals: Array
    """Rows by the network's causes: chance that each was there."""
    p_evidence: Array
    """Per row: P(all its answers), as in `Posterior`."""


def batch_marginals(network: Network, rows: Sequence[Says]) -> Suspects:
    """
    Return what `posterior` gives for the plain answers (sign to level) of each row; SuspectsError as it raises it.

    It pays where many rows share their striking answers: one plan serves them all.
    """
    answers = _answers_of(network)
    told = [answers.told_by(row) for row in rows]
    groups: dict[int, list[int]] = {}
    for place, bits in enumerate(told):
        groups.setdefault(answers.striking_of(bits), []).append(place)
    marginals, total = np.empty((len(rows), len(network.causes))), np.empty(len(rows))
    for striking, at in groups.items():
        case = case_of(network, Evidence.of(answers.named(striking)))
        kept, leaks = answers.take_in([told[k] for k in at])
        joints = run_rows(case, plan_of(case), np.asarray(case.factors) * kept)
        impossible = np.flatnonzero(~(joints.total > 0.0))
        if len(impossible):
            posterior(network, Evidence.of(rows[at[impossible[0]]]))  # it says which answer contradicts
        # a sum of the same weights in another order may leave the range by a rounding
        marginals[at] = np.minimum(1.0, joints.present / joints.total[:, np.newaxis])
        total[at] = joints.total * leaks
    return Suspects(marginals, total / (p_any_cause(network) if network.at_least_one else 1.0))


class _Answers:
    """The levels of all signs as bits, normal ones lowest, and what the normal ones do to every cause."""

    def __init__(self, network: Network) -> None:
        self._network = network
        signs = network.signs.values()
        normal = [(node.id, node.levels[0]) for node in signs]
        self._normal = len(normal)
        self._above = [(node.id, level) for node in signs for level in node.levels[1:]]
        self._bits = {answer: 1 << bit for bit, answer in enumerate((*normal, *self._above))}
        self._bits |= {(node.id, UNKNOWN): 0 for node in signs}
        keeps = np.ones((len(normal), len(network.causes) + 1))
        for keep, node in zip(keeps, signs, strict=True):
            for cause, row in node.links.items():
                keep[cause] = row.upto[0]
            keep[-1] = node.leak.upto[0]
        # what nothing is left of can't be a logarithm
        self._never = (keeps <= 0.0).astype(float)
        self._logs = np.log(np.where(keeps > 0.0, keeps, 1.0))

    def told_by(self, row: Says) -> int:
        """Return the answers of a row as bits."""
        try:
            return sum(map(self._bits.__getitem__, row.items()))
        except KeyError:
            case_of(self._network, Evidence.of(row))  # it says which sign or level is not of the book
            return sum(self._bits.get(answer, 0) for answer in row.items())

    def striking_of(self, bits: int) -> int:
        """Return the answers above normal alone."""
        return bits >> self._normal

    def named(self, striking: int) -> Mapping[str, str]:
        """Return sign and level of the answers above normal."""
        return dict(answer for bit, answer in enumerate(self._above) if striking >> bit & 1)

    def take_in(self, told: Sequence[int]) -> tuple[Array, Array]:
        """Return what the normal answers alone leave of each cause, rows by causes, and of no cause."""
        size, normal = -(-self._normal // 8), (1 << self._normal) - 1
        packed = b"".join([(bits & normal).to_bytes(size, "little") for bits in told])
        blocks = -(-len(told) // _BLOCK)
        flat = np.zeros((blocks * _BLOCK, self._normal))
        flat[: len(told)] = np.unpackbits(
            np.frombuffer(packed, np.uint8).reshape(len(told), size), axis=1, count=self._normal, bitorder="little"
        )
        given = flat.reshape(blocks, _BLOCK, self._normal)
        kept = np.exp(given @ self._logs)
        if self._never.any():
            kept[given @ self._never > 0.0] = 0.0
        rows = kept.reshape(blocks * _BLOCK, -1)[: len(told)]
        return rows[:, :-1], rows[:, -1]


_last: list[tuple[Network, _Answers]] = []


def _answers_of(network: Network) -> _Answers:
    """Return the bits of a network; the last one is kept."""
    if not _last or _last[0][0] is not network:
        _last[:] = [(network, _Answers(network))]
    return _last[0][1]
