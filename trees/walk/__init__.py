"""One job's way through the trees: pure, without input or output."""

from trees.walk.entries import KINDS, Entry, EntryKind
from trees.walk.findings import Conclusion, Finding, Observation, Reason
from trees.walk.question import Option, Question
from trees.walk.trail import TrailItem
from trees.walk.walk import Walk

__all__ = [
    "KINDS",
    "Conclusion",
    "Entry",
    "EntryKind",
    "Finding",
    "Observation",
    "Option",
    "Question",
    "Reason",
    "TrailItem",
    "Walk",
]
