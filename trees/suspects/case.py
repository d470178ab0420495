"""What the answers do to a network: factors on single causes, and striking answers that something must explain."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trees.errors import SuspectsError
from trees.language import _
from trees.suspects.evidence import Evidence, Observed
from trees.suspects.network import Network, SignNode


@dataclass(frozen=True, slots=True)
class Striking:
    """
    One answer above normal, split into bits: bit g is set once something threw a level of group g.

    A throw of a noisy-MAX is the highest of independent throws of its levels, so each bit is a noisy-OR of its own and
    only the end looks at them together. A plain answer has one bit and ends (0, 1).
    """

    start: tuple[float, ...]
    """Per bit: chance that it is set with no cause acting."""
    fires: Mapping[int, tuple[float, ...]]
    """Cause index → chance per bit that this cause sets it."""
    ends: tuple[float, ...]
    """Weight of each combination of bits, 2**len(start) of them."""


@dataclass(frozen=True, slots=True)
class Case:
    """A network with its evidence worked in; lists run over the network's causes."""

    odds: tuple[float, ...]
    """p / (1 - p) of each cause before the answers."""
    factors: tuple[float, ...]
    """What the answers alone take from a cause that is there: product of P(level at most the one seen)."""
    striking: tuple[Striking, ...]
    base: float
    """P(no cause) times the chance of the normal answers with no cause acting."""
    cleared: frozenset[int]
    """Causes that a trial removed although the unit still failed: they alone don't explain the failure."""
    gone: frozenset[int]
    """Causes that are no longer there after the trials."""
    needs_cause: bool
    """Only sets with a cause outside `cleared` count: a unit was brought in, or it failed again after a fix."""


def case_of(network: Network, evidence: Evidence) -> Case:
    """Work evidence into a network; SuspectsError where one sign was given in two ways that exclude each other."""
    told, trials = _sorted_by_time(network, evidence)
    factors = [1.0] * len(network.causes)
    base = math.prod(1.0 - p for p in network.priors)
    striking: list[Striking] = []
    # the network's own order of signs, so that the order of the answers can't matter, not even in the last bit
    for node in network.signs.values():
        for gone, weights in told.get(node.id, ()):
            base *= _take_in(node, weights, gone, factors, striking)
    if trials.cured_by is not None:
        for i in range(len(factors)):
            if i not in trials.cured_by:
                factors[i] = 0.0
    return Case(
        odds=tuple(p / (1.0 - p) for p in network.priors),
        factors=tuple(factors),
        striking=tuple(striking),
        base=base,
        cleared=trials.cleared,
        gone=trials.gone,
        needs_cause=network.at_least_one or trials.failed,
    )


@dataclass(frozen=True, slots=True)
class _Trials:
    cleared: frozenset[int]
    gone: frozenset[int]
    cured_by: frozenset[int] | None
    failed: bool


_Told = dict[str, list[tuple[frozenset[int], list[float]]]]


def _sorted_by_time(network: Network, evidence: Evidence) -> tuple[_Told, _Trials]:
    """Gather the weights of each sign per state of repair, and what the trials settle."""
    said: dict[tuple[str, frozenset[int]], list[Observed]] = {}
    gone: frozenset[int] = frozenset()
    cleared, cured_by, failed = gone, None, False
    for item in evidence.items:
        if isinstance(item, Observed):
            if item.sign in network.signs:
                if not item.says_nothing:
                    said.setdefault((item.sign, gone), []).append(item)
            elif item.sign not in network.left_out:
                raise SuspectsError(_("The book has no sign {sign}. Name one of its signs.").format(sign=item.sign))
            continue
        gone |= {network.index[c] for c in item.cures if c in network.index}
        # a failed trial implies every earlier one and "at least one cause": only the last needs to be kept
        if item.result == "cured" and cured_by is None:
            cured_by = gone
        if item.result == "still":
            cleared, failed = gone, True
    told: _Told = {}
    for (sign, repaired), items in sorted(said.items(), key=lambda pair: len(pair[0][1])):
        told.setdefault(sign, []).append((repaired, _weights(network.signs[sign], items)))
    return told, _Trials(cleared, gone, cured_by, failed)


def _weights(node: SignNode, items: Sequence[Observed]) -> list[float]:
    """Multiply what several observations of one sign say of its levels."""
    rows = []
    for item in items:
        weights = {item.level: 1.0} if item.level else item.weights
        row = [item.rest] * len(node.levels)
        for level, weight in weights.items():
            if not (weight >= 0 and math.isfinite(weight)):
                raise SuspectsError(
                    _("A weight of {weight:g} for {id}: {level}. Weights are 0 or more.").format(
                        weight=weight, id=node.id, level=level
                    )
                )
            row[node.level_index(level)] += weight
        rows.append(row)
    product = [math.prod(column) for column in zip(*sorted(rows), strict=True)]
    if not any(product):
        said = _(" and ").join(dict.fromkeys(item.level or "/".join(item.weights) for item in items))
        raise SuspectsError(
            _("The sign {id} was given as {said}: one of these must be wrong. Take one back.").format(
                id=node.id, said=said
            )
        )
    return product


def _take_in(
    node: SignNode, weights: Sequence[float], gone: frozenset[int], factors: list[float], striking: list[Striking]
) -> float:
    """Fold one sign into the factors; add it to `striking` if levels up to the highest one weigh differently."""
    top = max(i for i, weight in enumerate(weights) if weight)
    for i, row in node.links.items():
        if i not in gone:
            factors[i] *= row.upto[top]
    # groups of neighbouring levels that weigh the same: only their borders matter
    edges = [g for g in range(1, top + 1) if weights[g] != weights[g - 1]]
    if not edges:
        return node.leak.upto[top] * weights[0]
    spans = list(zip(edges, [e - 1 for e in edges[1:]] + [top], strict=True))
    fires = {}
    for i, row in node.links.items():
        chances = tuple(_sets(row.chances, row.upto, span) for span in spans)
        if i not in gone and any(chances):
            fires[i] = chances
    start = tuple(_sets(node.leak.chances, node.leak.upto, span) for span in spans)
    ends = tuple(weights[edges[bits.bit_length() - 1]] if bits else weights[0] for bits in range(1 << len(edges)))
    striking.append(Striking(start, fires, ends))
    return node.leak.upto[top]


def _sets(chances: Sequence[float], upto: Sequence[float], span: tuple[int, int]) -> float:
    """Return the chance that a throw of at most the span's last level lies in the span; nothing cancels."""
    first, last = span
    if not upto[last]:
        return 0.0
    return min(1.0, sum(chances[first : last + 1]) / upto[last])
