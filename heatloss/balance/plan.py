"""From declared networks to the kernel's arrays: topology once, values lane by lane."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.compiling import NONE, Rows
from heatloss.balance.kernel import BUOYANT, DRYING, HEATER, RADIANT, ROOT_SQUARE, Topology, Values
from heatloss.balance.network import Driven, Link, Network
from heatloss.balance.structure import Elimination, program
from heatloss.balance.values import columns_of
from heatloss.balance.vapour import Damp
from heatloss.errors import InputError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Plan(NamedTuple):
    """All that the kernel needs.

    Attributes
    ----------
    columns : list of (rows,)
        The driver columns, without the constant one before them.
    start : (nodes, lanes) [degC]
        In the kernel's order.
    start_humidity : (bodies of moist air, lanes) [kg/kg]
    start_ice : (nodes that freeze, lanes) [J]
    place : list of int
        Kernel number of each declared node.
    groups : int
        Columns of booked flows, one per declared link.
    """

    topology: Topology
    damp: Damp
    values: Values
    columns: list[Floats]
    start: Floats
    start_humidity: Floats
    start_ice: Floats
    place: list[int]
    groups: int

    def table(self, first: int, steps: int) -> Floats:
        """Rows of the driver table (steps, 1 + columns), the constant first."""
        table = np.ones((steps, 1 + len(self.columns)))
        for i, column in enumerate(self.columns):
            table[:, i + 1] = column[first : first + steps]
        return table


def compile_networks(networks: Sequence[Network], steps: int, first: int | None) -> Plan:
    """Compile networks of equal topology into one plan."""
    lead = networks[0]
    for net in networks:
        if net is not lead and ties(net) != ties(lead):
            raise InputError(
                "networks of one batch must have equal topology, got two that differ. Group them by topology first."
            )
        _check_controls(net)
    _check_ties(lead)
    shapes = [_link_shape([net._links[k] for net in networks]) for k in range(len(lead._links))]
    for dryer in lead._moisture.dryers:
        shapes[dryer.link] = DRYING
    curved = [shape != 0 for shape in shapes]
    outer = [link.a in lead._boundaries or link.b in lead._boundaries for link in lead._links]
    order = sorted(range(len(shapes)), key=lambda k: (curved[k], shapes[k], outer[k]))  # alike ones run in a row
    names = {name: i for i, name in enumerate(lead._nodes)}
    filmed = {names[end] for k, link in enumerate(lead._links) if curved[k] for end in link[:2] if end in names}
    filmed |= {names[face.node] for face in lead._moisture.faces}
    plan = program(lead._neighbours(), *lead._split(), set(lead._controlled()), filmed)
    columns = columns_of(v for net in networks for v in _parameters(net, order))
    _check_rows(columns, steps, first)
    number = {id(column): i + 1 for i, column in enumerate(columns)}
    values = _values(networks, order, number, plan.order)
    varying = np.flatnonzero((values.factor != 0.0).any(axis=1)).astype(np.uint32)
    topology = _topology(lead, order, shapes, curved.count(False), plan, varying)
    start = np.array([[s for _, s in net._nodes.values()] for net in networks])[:, plan.order].T
    place = [0] * len(plan.order)
    for new, old in enumerate(plan.order):
        place[old] = new
    damp = _damp(lead, topology, place, {k: i for i, k in enumerate(order)})
    humid = np.array([[air.start for air in net._moisture.airs.values()] for net in networks]).T
    ice = np.array([[ice for _, ice in net._freezing.values()] for net in networks]).T
    start, humid, ice = (np.ascontiguousarray(part) for part in (start, humid, ice))
    return Plan(topology, damp, values, columns, start, humid, ice, place, len(order))


def ties(net: Network) -> tuple[object, ...]:
    """What must be equal in a batch: names and ties, not numbers; it can be a key."""
    return (
        tuple(net._nodes),
        tuple(net._freezing),
        tuple(net._boundaries),
        tuple((k.a, k.b, k.root_square) for k in net._links),
        tuple(node for node, _ in net._sources),
        tuple((a.name, a.kind, tuple(a.into.items()), a.sensor, a.to) for a in net._actuators),
        net._moisture.ties(),
    )


def _used(value: float | Driven) -> bool:
    return isinstance(value, Driven) or value != 0.0


def _link_shape(links: Sequence[Link]) -> int:
    """Shape bits of one link, taken over all lanes."""
    mix = ROOT_SQUARE if links[0].root_square else BUOYANT
    shape = mix if any(_used(k.laws[1]) or _used(k.laws[2]) for k in links) else 0
    return shape | (RADIANT if any(_used(k.laws[3]) for k in links) else 0)


def _check_ties(net: Network) -> None:
    tied = {end for link in net._links for end in (link.a, link.b)}
    loose = [name for name in net._nodes if name not in tied]
    if not net._nodes:
        raise InputError("a network must have a node, got none.")
    if loose:
        raise InputError(f"every node must be linked, got {loose[0]!r} tied to nothing. Link it or leave it out.")


def _check_controls(net: Network) -> None:
    """A setpoint above the limit of a vent of the same sensor has no answer."""
    heaters = [a for a in net._actuators if a.kind == HEATER]
    for vent in net._actuators:
        for heater in heaters:
            if vent.kind != HEATER and vent.sensor == heater.sensor:
                low, high = (v.array() if isinstance(v, Driven) else v for v in (heater.threshold, vent.threshold))
                if np.size(low) > 1 and np.size(high) > 1 and np.size(low) != np.size(high):
                    raise InputError(f"arrays must be of equal length, got lengths {np.size(low)}, {np.size(high)}.")
                if np.any(np.asarray(low) > np.asarray(high)):
                    raise InputError(
                        f"setpoint of heater {heater.name!r} must be <= the limit of vent {vent.name!r} [degC], "
                        f"got {np.max(low):g} against {np.min(high):g}."
                    )


def _turned(net: Network, link: Link) -> bool:
    """Whether the kernel holds the link the other way round, its node before its boundary."""
    return link.a in net._boundaries


def _parameters(net: Network, order: list[int]) -> list[float | Driven]:
    found: list[float | Driven] = []
    for k in order:
        link = net._links[k]
        g, a_warmer, b_warmer, r = link.laws
        found += [g, b_warmer, a_warmer, r] if _turned(net, link) else [g, a_warmer, b_warmer, r]
    found += net._boundaries.values()
    found += [power for _, power in net._sources]
    for a in net._actuators:
        found += [a.threshold, a.capacity]
    return found + net._moisture.parameters()


def _check_rows(columns: Sequence[Floats], steps: int, first: int | None) -> None:
    lengths = sorted({len(c) for c in columns})
    if not lengths:
        return
    if len(lengths) > 1:
        raise InputError(f"arrays must be of equal length, got lengths {', '.join(map(str, lengths))}.")
    if first is None and lengths[0] != steps:
        raise InputError(f"arrays must have one value per step, got {lengths[0]} values for {steps} steps.")
    if (first or 0) < 0 or (first or 0) + steps > lengths[0]:
        raise InputError(f"steps must lie within the {lengths[0]} values given, got {first} to {(first or 0) + steps}.")


def _values(networks: Sequence[Network], order: list[int], number: dict[int, int], node_order: list[int]) -> Values:
    count = len(_parameters(networks[0], order))
    offset, factor = np.zeros((count, len(networks))), np.zeros((count, len(networks)))
    column = np.zeros((count, len(networks)), np.int64)
    for lane, net in enumerate(networks):
        for i, value in enumerate(_parameters(net, order)):
            if isinstance(value, Driven):
                offset[i, lane], factor[i, lane] = value.offset, value.factor
                column[i, lane] = number[id(value.column)]
            else:
                offset[i, lane] = value
    capacity = np.array([[c for c, _ in net._nodes.values()] for net in networks])[:, node_order].T
    freezing = np.array([[latent for latent, _ in net._freezing.values()] for net in networks]).T
    return Values(offset, factor, column, np.ascontiguousarray(capacity), np.ascontiguousarray(freezing))


def _ints(numbers: Iterable[int]) -> Ints:
    return np.array(list(numbers), dtype=np.int64)


def _rows(numbers: Iterable[int]) -> Rows:
    return np.array(list(numbers), dtype=np.uint32)


def _topology(
    lead: Network, order: list[int], shapes: list[int], linear: int, plan: Elimination, varying: Rows
) -> Topology:
    names = list(lead._nodes)
    place = {names[old]: new for new, old in enumerate(plan.order)}
    n, nb = len(names), len(lead._boundaries)
    place |= {name: n + i for i, name in enumerate(lead._boundaries)}
    links = [lead._links[k] for k in order]
    ends = [(place[k.b], place[k.a]) if _turned(lead, k) else (place[k.a], place[k.b]) for k in links]
    control = sorted(place[names[i]] for i in lead._controlled())
    sensors = sorted({place[a.sensor] for a in lead._actuators})
    feed = np.zeros((len(lead._actuators), len(control)))
    for i, a in enumerate(lead._actuators):
        for node, share in a.into.items():
            feed[i, control.index(place[node])] = share
    first_boundary = 4 * len(links)
    return Topology(
        nodes=n,
        boundaries=nb,
        linear=linear,
        link_a=_rows(a for a, _ in ends),
        link_b=_rows(b for _, b in ends),
        link_entry=_rows(plan.entry[min(e), max(e)] if max(e) < n else NONE for e in ends),
        link_shape=_ints(shapes[k] for k in order),
        link_group=_rows(order),
        link_sign=np.array([-1.0 if _turned(lead, k) else 1.0 for k in links]),
        booked=_rows(range(linear)),
        booked_films=_rows(range(linear, len(links))),
        fixed=plan.fixed,
        fixed_entries=plan.near_start[plan.fixed],
        entries=len(plan.entry),
        near_start=_ints(plan.near_start),
        near_node=_rows(plan.near_node),
        near_entry=_rows(plan.near_entry),
        pair_start=_ints(plan.pair_start),
        pair_entry=_rows(plan.pair_entry),
        source_node=_rows(place[node] for node, _ in lead._sources),
        varying=varying,
        p_boundary=first_boundary,
        p_source=first_boundary + nb,
        p_actuator=first_boundary + nb + len(lead._sources),
        control_nodes=len(control),
        actuator_kind=_ints(a.kind for a in lead._actuators),
        actuator_sensor=_ints(sensors.index(place[a.sensor]) for a in lead._actuators),
        actuator_row=_ints(control.index(place[a.sensor]) for a in lead._actuators),
        actuator_boundary=_ints(0 if a.to is None else place[a.to] - n for a in lead._actuators),
        feed=feed,
        sensor_row=_ints(control.index(s) for s in sensors),
        icy=_rows(place[name] for name in lead._freezing),
    )


def _damp(lead: Network, top: Topology, place: Sequence[int], links: dict[int, int]) -> Damp:
    """The vapour's part of the topology; ``links`` is declared number -> kernel number."""
    moisture = lead._moisture
    node = {name: place[i] for i, name in enumerate(lead._nodes)}
    outer = {name: i for i, name in enumerate(lead._boundaries)}
    own = {name: i for i, name in enumerate(moisture.airs)}
    moist = {name: i for i, name in enumerate(moisture.humidities)}
    vents = [a.name for a in lead._actuators]
    faces, flows = moisture.faces, moisture.flows
    p_air = top.p_actuator + 2 * len(vents)
    p_humidity = p_air + 2 * len(own)
    p_wet = p_humidity + len(moist)
    p_flow = p_wet + 4 * len(faces)
    p_source = p_flow + 2 * len(flows)
    return Damp(
        air_node=_rows(node[name] for name in own),
        air_own=_rows(range(len(own))),
        wet_air=_rows(own[s.air] for s in faces),
        wet_node=_rows(node[s.node] for s in faces),
        wet_link=_rows(NONE if s.along is None else links[s.along] for s in faces),
        flow_from=_rows(own[s.air] for s in flows),
        flow_to=_rows(own.get(s.to, NONE) for s in flows),
        flow_humidity=_rows(moist.get(s.to, 0) for s in flows),
        flow_link=_rows(NONE if s.along is None else links[s.along] for s in flows),
        flow_vent=_rows(NONE if s.vent is None else vents.index(s.vent) for s in flows),
        flow_outer=_rows(outer.get(s.to, 0) for s in flows),
        source_air=_rows(own[s.air] for s in moisture.sources),
        source_heater=_rows(NONE if s.heater is None else vents.index(s.heater) for s in moisture.sources),
        dry_air=_rows(own[s.air] for s in moisture.dryers),
        dry_link=_rows(links[s.link] for s in moisture.dryers),
        dry_humidity=_rows(moist[s.to] for s in moisture.dryers),
        p_air=p_air,
        p_humidity=p_humidity,
        p_wet=p_wet,
        p_flow=p_flow,
        p_source=p_source,
        p_dry=p_source + 2 * len(moisture.sources),
    )
