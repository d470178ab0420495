"""Which causes, which check next, and why: pure reasoning over a book, without input or output."""

from trees.suspects.change_of_mind import Turn, turns
from trees.suspects.evidence import Evidence, Observed, Tried, blend
from trees.suspects.fix_order import Action, FixAdvice, fix_plan
from trees.suspects.network import UNLISTED, Network, Row, SignNode
from trees.suspects.next_check import Advice, Worth, rank_checks
from trees.suspects.posterior import Posterior, decibans, posterior
from trees.suspects.priors import priors_of
from trees.suspects.together import Pair, pairs
from trees.suspects.why import Why, why
from trees.suspects.why_words import in_words, percent

__all__ = [
    "UNLISTED",
    "Action",
    "Advice",
    "Evidence",
    "FixAdvice",
    "Network",
    "Observed",
    "Pair",
    "Posterior",
    "Row",
    "SignNode",
    "Tried",
    "Turn",
    "Why",
    "Worth",
    "blend",
    "decibans",
    "fix_plan",
    "in_words",
    "pairs",
    "percent",
    "posterior",
    "priors_of",
    "rank_checks",
    "turns",
    "why",
]
