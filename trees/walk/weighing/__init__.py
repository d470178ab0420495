"""Weighing a tree: minutes of its order, of the best order found with the same checks, and with the cause known."""

from trees.walk.weighing.branches import Estimate
from trees.walk.weighing.outcome import EndMiss, StepCost, Weighing
from trees.walk.weighing.outline import Turning
from trees.walk.weighing.weigh import weigh_tree

__all__ = ["EndMiss", "Estimate", "StepCost", "Turning", "Weighing", "weigh_tree"]
