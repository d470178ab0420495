"""One job's way through the trees: pure, without input or output."""

from trees.walk.entries import KINDS, Entry
from trees.walk.findings import Finding, Reason
from trees.walk.question import Question
from trees.walk.trail import TrailItem
from trees.walk.walk import Walk

__all__ = [
    "KINDS",
    "Entry",
    "Finding",
    "Question",
    "Reason",
    "TrailItem",
    "Walk",
]
