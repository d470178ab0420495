"""Where each record stands in its file.

The nodes of trees, which are the bulk of a large book, are let go once a tree is read, and composed anew if a problem
asks for their places: most trees have none.
"""

from __future__ import annotations

import re
from collections.abc import Callable, KeysView

from yaml.nodes import MappingNode, Node

Pair = tuple[Node, Node]
"""A record's key and its value."""


def as_name(text: str) -> str:
    """Return the name that a text probably wants to be; empty if there is none in it."""
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")


class Where:
    """Names of records by kind, steps by tree, and the nodes of each."""

    def __init__(self) -> None:
        self._pairs: dict[str, dict[str, Pair | None]] = {}
        self._steps: dict[str, dict[str, Pair | None]] = {}
        self._again: dict[str, Callable[[], MappingNode | None]] = {}
        self._last: tuple[str, dict[str, Pair]] = ("", {})

    def _table(self, path: tuple[str, ...]) -> dict[str, Pair | None]:
        """Return the names beside the one that a path ends in: (kind, id) or (`step`, tree, id)."""
        if len(path) == 3:
            return self._steps.setdefault(path[1], {})
        return self._pairs.setdefault(path[0], {})

    def know(self, *path: str) -> None:
        """Note that a record is there, before its file is read."""
        self._table(path).setdefault(path[-1], None)

    def add(self, path: tuple[str, ...], key: Node, value: Node) -> None:
        """Note where a record stands."""
        self._table(path)[path[-1]] = (key, value)

    def add_misnamed(self, path: tuple[str, ...], key: Node, value: Node) -> None:
        """Note a record under the name it should have, so that nobody is blamed for naming it."""
        self._table(path).setdefault(path[-1], (key, value))

    def __contains__(self, path: tuple[str, ...]) -> bool:
        table = self._steps.get(path[1]) if len(path) == 3 else self._pairs.get(path[0])
        return table is not None and path[-1] in table

    def names(self, kind: str, tree: str = "") -> KeysView[str]:
        """Return all names of a kind, or of the steps of a tree, in the author's order."""
        table = self._steps.get(tree) if kind == "step" else self._pairs.get(kind)
        return (table or {}).keys()

    def let_go(self, tree: str, again: Callable[[], MappingNode | None]) -> None:
        """Forget the nodes of a tree; `again` composes its file anew."""
        self._again[tree] = again
        self._pairs["tree"][tree] = None
        self._steps[tree] = dict.fromkeys(self._steps.get(tree, ()))

    def pair(self, path: tuple[str, ...]) -> Pair:
        """Return key and value of a record; KeyError if it is not there."""
        found = self._table(path)[path[-1]]
        if found is not None:
            return found
        tree = path[1]
        if self._last[0] != tree:
            self._last = (tree, _pairs_of(self._again[tree]()))
        return self._last[1][path[2] if len(path) == 3 else ""]


def _pairs_of(root: MappingNode | None) -> dict[str, Pair]:
    """Return the steps of a tree by name, and the tree itself under the empty name."""
    if root is None or not root.value:
        return {}
    pairs: dict[str, Pair] = {"": (root.value[0][0], root)}
    steps = next((value for key, value in root.value if key.value == "steps"), None)
    for key, value in steps.value if isinstance(steps, MappingNode) else ():
        pairs[key.value] = (key, value)
        pairs.setdefault(as_name(key.value), (key, value))
    return pairs
