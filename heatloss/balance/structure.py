"""Find hubs and chains of a graph, and the program of its elimination; pure Python on small integers."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

Neighbours = list[set[int]]


@dataclass(frozen=True)
class Elimination:
    """The order of the nodes and what each pivot touches, in numbers of the new order.

    Attributes
    ----------
    order : list of int
        Old node numbers in the order of their elimination.
    fixed : int
        How many of the first pivots no film touches.
    entry : dict
        (smaller, larger) new numbers -> off-diagonal entry, fill included, pivot after pivot.
    near_start, near_node, near_entry : list of int
        Per pivot, the neighbours that remain and the entries to them.
    pair_start, pair_entry : list of int
        Per pivot, the entries between each two of those neighbours.
    """

    order: list[int]
    fixed: int
    entry: dict[tuple[int, int], int]
    near_start: list[int]
    near_node: list[int]
    near_entry: list[int]
    pair_start: list[int]
    pair_entry: list[int]


def split(neighbours: Neighbours, control: Iterable[int]) -> tuple[list[int], list[list[int]]]:
    """Hubs and chains: controlled nodes are hubs, and so is whatever keeps the rest from being paths.

    A chain is a path of nodes that touches at most two hubs. An odd graph gets more hubs, never a wrong answer.

    >>> split([{1}, {0, 2}, {1, 3}, {2}], control=[0])
    ([0], [[1, 2, 3]])
    """
    hubs = set(control)
    chains: list[list[int]] = []
    todo = _components(neighbours, set(range(len(neighbours))) - hubs)
    while todo:
        part = todo.pop()
        path = _path(neighbours, part)
        touched = {h for i in part for h in neighbours[i] - part}
        if path is not None and len(touched) <= 2:
            chains.append(path)
            continue
        hub = max(part, key=lambda i: (len(neighbours[i] & part) > 2, len(neighbours[i]), -i))
        hubs.add(hub)
        todo += _components(neighbours, part - {hub})
    return sorted(hubs), sorted(chains)


def _components(neighbours: Neighbours, nodes: set[int]) -> list[set[int]]:
    found, rest = [], set(nodes)
    while rest:
        front = {min(rest)}
        part: set[int] = set()
        while front:
            part |= front
            front = {j for i in front for j in neighbours[i] & rest} - part
        found.append(part)
        rest -= part
    return found


def _path(neighbours: Neighbours, part: set[int]) -> list[int] | None:
    """The nodes of ``part`` from one end to the other, or None where they are no path."""
    inside = {i: neighbours[i] & part for i in part}
    if any(len(near) > 2 for near in inside.values()):
        return None
    ends = sorted(i for i, near in inside.items() if len(near) < 2)
    if not ends:
        return None  # a ring
    path = [ends[0]]
    while True:
        onward = inside[path[-1]] - set(path[-2:])
        if not onward:
            return path
        path.append(onward.pop())


def program(
    neighbours: Neighbours, hubs: list[int], chains: list[list[int]], control: set[int], filmed: set[int]
) -> Elimination:
    """Order the elimination: chain cells that no film touches, other chain cells, free hubs, controlled hubs.

    Within a group the node of fewest remaining neighbours goes first, so that chains fold outward-in.

    Parameters
    ----------
    filmed : set of int
        Nodes on a link whose conductance depends on temperature.
    """
    graph = [set(near) for near in neighbours]
    cells = {i for chain in chains for i in chain}
    order: list[int] = []
    left: list[set[int]] = []
    for group in (cells - filmed, cells & filmed, set(hubs) - control, control):
        waiting = set(group)
        while waiting:
            node = min(waiting, key=lambda i: (len(graph[i]), i))
            waiting.remove(node)
            for i in graph[node]:
                graph[i] |= graph[node] - {i}
                graph[i].discard(node)
            order.append(node)
            left.append(set(graph[node]))

    new = {old: i for i, old in enumerate(order)}
    entry: dict[tuple[int, int], int] = {}
    near_start, near_node, near_entry = [0], [], []
    for p, near in enumerate(left):
        for q in sorted(new[i] for i in near):
            entry[p, q] = len(entry)
            near_node.append(q)
            near_entry.append(entry[p, q])
        near_start.append(len(near_node))
    pair_start, pair_entry = [0], []
    for p in range(len(order)):
        near_p = near_node[near_start[p] : near_start[p + 1]]
        pair_entry += [entry[a, b] for i, a in enumerate(near_p) for b in near_p[i + 1 :]]
        pair_start.append(len(pair_entry))
    return Elimination(order, len(cells - filmed), entry, near_start, near_node, near_entry, pair_start, pair_entry)
