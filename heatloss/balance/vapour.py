"""The compiled balance of water vapour: wet faces, air that carries it, drying by a vent; called by the kernel.

Each body of moist air has a humidity ratio w. In every evaluation it is foreseen implicitly with the temperatures of
the one before; a wet face then takes part in the balance of heat with the flow c (w_s(T) - w), its saturation a
straight line about that temperature, so that a thin leaf cannot swing. With the temperatures of the sub-step the
humidity is solved once more, implicitly, and that water is booked. The latent heat of the two differs a little: the
rest is owed to the face and given in the next sub-step, so that both ledgers close, each in itself, and over time with
each other.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from heatloss.balance.compiling import NONE, Floats, Rows, compiled, inlined
from heatloss.physics.moist_air import CP_AIR, MASS_RATIO, saturation_pressure

COLDEST, WARMEST, PER_KELVIN = -90.0, 80.0, 8.0  # beyond, vapour answers no more: nothing grows there
SATURATION: Floats = np.asarray(
    saturation_pressure(np.linspace(COLDEST, WARMEST, int((WARMEST - COLDEST) * PER_KELVIN) + 1))
)
"""Saturation pressure every eighth of a kelvin [Pa]; a straight line between two is right within 2e-5."""
FOLLOWED = 0.3
LEAST_REACH = 0.05  # K, the least excess over outdoors with which a vent's heat is taken for a flow of air


class Damp(NamedTuple):
    """What is tied to what in the balance of vapour; equal for all lanes of a batch. Parameters in ``p_...`` order."""

    air_node: Rows  # heat node of each body of moist air
    air_own: Rows  # 0, 1, 2 ...
    wet_air: Rows  # per wet face: its body of air, its heat node, the link its film stands on (or NONE)
    wet_node: Rows
    wet_link: Rows
    flow_from: Rows  # per flow of air: body of air, and another one or NONE for a boundary's air
    flow_to: Rows
    flow_humidity: Rows  # which boundary humidity
    flow_link: Rows  # link whose conductance is this flow's heat, or NONE
    flow_vent: Rows  # vent whose air it is, or NONE
    flow_outer: Rows  # boundary that vent leads to
    source_air: Rows
    source_heater: Rows  # whose flame gives vapour, or NONE
    dry_air: Rows  # per drying vent: body of air, link of its own to outdoors, boundary humidity, boundary node
    dry_link: Rows
    dry_humidity: Rows
    p_air: int  # two each: mass of dry air [kg], pressure [Pa]
    p_humidity: int  # of boundaries
    p_wet: int  # four each: conductance evaporating, condensing [kg/s]; factor on the film evaporating, condensing
    p_flow: int  # two each: conductance [kg/s], factor on the link's
    p_source: int  # two each: given [kg/s], by watt of the heater [kg/J]
    p_dry: int  # two each: limit of relative humidity [1], capacity [W/K]


class Moist(NamedTuple):
    """Working arrays of the vapour, lane last."""

    ratio: Floats  # (airs) humidity ratio at the end of the last sub-step [kg/kg]
    now: Floats  # (airs) as foreseen within the sub-step
    full: Floats  # (faces) saturation ratio at ``at``
    steep: Floats  # (faces) its slope [1/K]
    at: Floats  # (faces) [degC]
    evaporating: Floats  # (faces) conductances [kg/s]
    condensing: Floats
    rate: Floats  # (faces) the one that holds
    carried: Floats  # (flows) [kg/s]
    vented: Floats  # (flows) of it through vents, as followed
    passed: Floats  # (flows) and as it was
    dried: Floats  # (drying vents) [kg/s]
    matrix: Floats  # (airs, airs)
    right: Floats  # (airs)
    whole: Floats  # (airs) what ties each body's humidity to all it meets [kg/s]
    spare: Floats  # (airs, airs)
    unit: Floats  # (airs)
    answer: Floats  # (airs)


@compiled
def blank(damp: Damp, lanes: int) -> Moist:
    """Working arrays, all zero."""
    airs, faces, flows, dryers = len(damp.air_node), len(damp.wet_air), len(damp.flow_from), len(damp.dry_air)
    return Moist(
        np.zeros((airs, lanes)), np.zeros((airs, lanes)), np.zeros((faces, lanes)), np.zeros((faces, lanes)),
        np.zeros((faces, lanes)), np.zeros((faces, lanes)), np.zeros((faces, lanes)), np.zeros((faces, lanes)),
        np.zeros((flows, lanes)), np.zeros((flows, lanes)), np.zeros((flows, lanes)), np.zeros((dryers, lanes)),
        np.zeros((airs, airs, lanes)), np.zeros((airs, lanes)), np.zeros((airs, lanes)),
        np.zeros((airs, airs, lanes)), np.zeros((airs, lanes)), np.zeros((airs, lanes)),
    )  # fmt: skip


@inlined
def latent(temp: float) -> float:
    """Latent heat of water [J/kg], as ``physics.moist_air.latent_heat``."""
    return 2.501e6 - 2361.0 * temp


@inlined
def saturate(
    nodes: Rows, airs: Rows, table: Floats, p_air: int, now: Floats, temps: Floats,
    at: Floats, full: Floats, steep: Floats, lanes: Any,
) -> None:  # fmt: skip
    """Saturation ratio of each face and its slope."""
    last = len(table) - 2
    for s in range(len(nodes)):
        node, p_row = nodes[s], p_air + 2 * airs[s] + 1
        for lane in range(len(lanes)):
            temp = temps[node, lane]
            known = min(max(temp, COLDEST), WARMEST)
            place = (known - COLDEST) * PER_KELVIN
            i = min(int(place), last)
            rise = table[i + 1] - table[i]
            e = table[i] + (place - i) * rise
            dry = 1.0 / (now[p_row, lane] - e)
            at[s, lane] = temp
            full[s, lane] = MASS_RATIO * e * dry
            slope = MASS_RATIO * now[p_row, lane] * dry * dry * rise * PER_KELVIN
            steep[s, lane] = slope if known == temp else 0.0


@inlined
def carry_air(
    link: Rows, vent: Rows, outer: Rows, home: Rows, air_node: Rows, n: int, p_flow: int,
    now: Floats, g: Floats, heat: Floats, temps: Floats, part: float, vented: Floats, carried: Floats, lanes: Any,
) -> None:  # fmt: skip
    """Flows of air [kg/s]: given, with the heat of a link, or through an open vent.

    Of a vent's flow only ``part`` of its change is followed: leaves that evaporate spare the vents what they cool, and
    vents that close stop the leaves, so that taken in full the two would chase each other.
    """
    for f in range(len(link)):
        for lane in range(len(lanes)):
            carried[f, lane] = now[p_flow + 2 * f, lane]
        if link[f] != NONE:
            for lane in range(len(lanes)):
                carried[f, lane] += now[p_flow + 2 * f + 1, lane] * g[link[f], lane]
        if vent[f] != NONE:
            for lane in range(len(lanes)):
                reach = temps[air_node[home[f]], lane] - temps[n + outer[f], lane]
                flow = -heat[vent[f], lane] / (max(reach, LEAST_REACH) * CP_AIR)
                vented[f, lane] += part * ((flow if reach > LEAST_REACH else 0.0) - vented[f, lane])
                carried[f, lane] += vented[f, lane]


@inlined
def set_air(
    flow_from: Rows, flow_to: Rows, flow_humidity: Rows, source_air: Rows, source_heater: Rows, dry_air: Rows,
    dry_humidity: Rows, p_air: int, p_humidity: int, p_source: int, rate: float, now: Floats, heat: Floats,
    ratio: Floats, carried: Floats,
    dried: Floats, matrix: Floats, right: Floats, lanes: Any,
) -> None:  # fmt: skip
    """Equations of the bodies of air without their wet faces: storage, flows of air, sources, drying."""
    matrix[:] = 0.0
    for i in range(len(ratio)):
        for lane in range(len(lanes)):
            mass = now[p_air + 2 * i, lane] * rate
            matrix[i, i, lane] = mass
            right[i, lane] = mass * ratio[i, lane]
    for f in range(len(flow_from)):
        a, b = flow_from[f], flow_to[f]
        for lane in range(len(lanes)):
            matrix[a, a, lane] += carried[f, lane]
        if b == NONE:
            row = p_humidity + flow_humidity[f]
            for lane in range(len(lanes)):
                right[a, lane] += carried[f, lane] * now[row, lane]
        else:
            for lane in range(len(lanes)):
                matrix[b, b, lane] += carried[f, lane]
                matrix[a, b, lane] -= carried[f, lane]
                matrix[b, a, lane] -= carried[f, lane]
    for k in range(len(source_air)):
        for lane in range(len(lanes)):
            right[source_air[k], lane] += now[p_source + 2 * k, lane]
        if source_heater[k] != NONE:
            for lane in range(len(lanes)):
                right[source_air[k], lane] += now[p_source + 2 * k + 1, lane] * heat[source_heater[k], lane]
    for d in range(len(dry_air)):
        for lane in range(len(lanes)):
            matrix[dry_air[d], dry_air[d], lane] += dried[d, lane]
            right[dry_air[d], lane] += dried[d, lane] * now[p_humidity + dry_humidity[d], lane]


@inlined
def solve_air(matrix: Floats, right: Floats, out: Floats, lanes: Any) -> None:
    """Solve the few equations of the bodies of air by elimination, destroying them; diagonally dominant."""
    count = len(out)
    for p in range(count):
        for r in range(p + 1, count):
            for lane in range(len(lanes)):
                w = matrix[r, p, lane] / matrix[p, p, lane]
                for c in range(p + 1, count):
                    matrix[r, c, lane] -= w * matrix[p, c, lane]
                right[r, lane] -= w * right[p, lane]
    for p in range(count - 1, -1, -1):
        for lane in range(len(lanes)):
            value = right[p, lane]
            for c in range(p + 1, count):
                value -= matrix[p, c, lane] * out[c, lane]
            out[p, lane] = value / matrix[p, p, lane]


@inlined
def stiffness(matrix: Floats, spare: Floats, unit: Floats, answer: Floats, whole: Floats, lanes: Any) -> None:
    """How much vapour raises the humidity of each body by one, the others free to follow [kg/s]."""
    count = len(whole)
    if count == 1:
        for lane in range(len(lanes)):
            whole[0, lane] = matrix[0, 0, lane]
        return
    for i in range(count):
        spare[:] = matrix
        unit[:] = 0.0
        unit[i] = 1.0
        solve_air(spare, unit, answer, lanes)
        for lane in range(len(lanes)):
            whole[i, lane] = 1.0 / answer[i, lane]


@inlined
def wet_faces(
    wet_air: Rows, full: Floats, evaporating: Floats, condensing: Floats, foreseen: Floats,
    rate: Floats, matrix: Floats, right: Floats, lanes: Any,
) -> None:  # fmt: skip
    """Enter the faces: each evaporates or condenses as the air is the drier or the moister."""
    for s in range(len(wet_air)):
        i = wet_air[s]
        for lane in range(len(lanes)):
            open_, shut = evaporating[s, lane], condensing[s, lane]
            c = open_ if full[s, lane] > foreseen[i, lane] else shut
            rate[s, lane] = c
            matrix[i, i, lane] += c
            right[i, lane] += c * full[s, lane]


@inlined
def foresee(  # long: one evaluation from faces to air to drying, each line a function above
    damp: Damp, moist: Moist, table: Floats, n: int, rate: float, now: Floats, g: Floats, heat: Floats, temps: Floats,
    link_a: Rows, link_b: Rows, diagonal: Floats, right: Floats, owed: Floats, limit: Floats, slope: Floats, at: Floats,
    lanes: Any,
) -> None:  # fmt: skip
    """Humidity of this evaluation, and what its latent heat and its drying enter into the equations of heat."""
    saturate(damp.wet_node, damp.wet_air, table, damp.p_air, now, temps, moist.at, moist.full, moist.steep, lanes)
    for s in range(len(damp.wet_air)):
        row, k = damp.p_wet + 4 * s, damp.wet_link[s]
        for lane in range(len(lanes)):
            moist.evaporating[s, lane] = now[row, lane]
            moist.condensing[s, lane] = now[row + 1, lane]
        if k != NONE:
            for lane in range(len(lanes)):
                moist.evaporating[s, lane] += now[row + 2, lane] * g[k, lane]
                moist.condensing[s, lane] += now[row + 3, lane] * g[k, lane]
    carry_air(
        damp.flow_link, damp.flow_vent, damp.flow_outer, damp.flow_from, damp.air_node, n, damp.p_flow, now, g, heat,
        temps, FOLLOWED, moist.vented, moist.carried, lanes,
    )  # fmt: skip
    moist.dried[:] = 0.0
    for turn in range(2):
        set_air(
            damp.flow_from, damp.flow_to, damp.flow_humidity, damp.source_air, damp.source_heater, damp.dry_air,
            damp.dry_humidity, damp.p_air, damp.p_humidity, damp.p_source, rate, now, heat, moist.ratio, moist.carried,
            moist.dried, moist.matrix, moist.right, lanes,
        )  # fmt: skip
        wet_faces(
            damp.wet_air, moist.full, moist.evaporating, moist.condensing, moist.now, moist.rate, moist.matrix,
            moist.right, lanes,
        )  # fmt: skip
        if turn == 0 and len(damp.dry_air):
            saturate(damp.air_node, damp.air_own, table, damp.p_air, now, temps, at, limit, slope, lanes)
            for d in range(len(damp.dry_air)):
                i, outer = damp.dry_air[d], damp.p_humidity + damp.dry_humidity[d]
                for lane in range(len(lanes)):
                    most = now[damp.p_dry + 2 * d, lane] * limit[i, lane]
                    excess = moist.right[i, lane] - moist.matrix[i, i, lane] * most
                    for j in range(len(damp.air_node)):
                        if j != i:
                            excess -= moist.matrix[i, j, lane] * moist.now[j, lane]
                    drier = most - now[outer, lane]
                    need = excess / drier if excess > 0.0 and drier > 0.0 else 0.0
                    moist.dried[d, lane] = min(need, now[damp.p_dry + 2 * d + 1, lane] / CP_AIR)
                    moist.matrix[i, i, lane] += moist.dried[d, lane]  # which faces evaporate is asked of the dried air
                    moist.right[i, lane] += moist.dried[d, lane] * now[outer, lane]
        if turn == 1:
            stiffness(moist.matrix, moist.spare, moist.unit, moist.answer, moist.whole, lanes)
        solve_air(moist.matrix, moist.right, moist.now, lanes)
    for s in range(len(damp.wet_air)):
        i, node = damp.wet_air[s], damp.wet_node[s]
        for lane in range(len(lanes)):
            moist.steep[s, lane] *= 1.0 - moist.rate[s, lane] / moist.whole[i, lane]  # the air answers too
            c = moist.rate[s, lane] * latent(moist.at[s, lane])
            more = c * moist.steep[s, lane]
            diagonal[node, lane] += more
            right[node, lane] += more * moist.at[s, lane] - c * (moist.full[s, lane] - moist.now[i, lane])
            right[node, lane] += owed[s, lane]
    for d in range(len(damp.dry_air)):
        k = damp.dry_link[d]
        for lane in range(len(lanes)):
            g[k, lane] = moist.dried[d, lane] * CP_AIR
            diagonal[link_a[k], lane] += g[k, lane]
            right[link_a[k], lane] += g[k, lane] * temps[link_b[k], lane]


@inlined
def settle(
    damp: Damp, moist: Moist, table: Floats, n: int, rate: float, share: float, now: Floats, g: Floats, heat: Floats,
    temps: Floats, owed: Floats, evaporated: Floats, warmth: Floats, flown: Floats, lanes: Any,
) -> None:  # fmt: skip
    """With the temperatures found: humidity and water for good.

    What their latent heat differs by from the heat that was foreseen is owed to the face, and given in the next
    sub-step.
    """
    carry_air(
        damp.flow_link, damp.flow_vent, damp.flow_outer, damp.flow_from, damp.air_node, n, damp.p_flow, now, g, heat,
        temps, 1.0, moist.passed, moist.carried, lanes,
    )  # fmt: skip
    for s in range(len(damp.wet_air)):
        i, node = damp.wet_air[s], damp.wet_node[s]
        for lane in range(len(lanes)):
            foreseen = moist.full[s, lane] + moist.steep[s, lane] * (temps[node, lane] - moist.at[s, lane])
            given = moist.rate[s, lane] * (moist.now[i, lane] - foreseen)
            spent = latent(moist.at[s, lane]) * given + owed[s, lane]
            warmth[s, lane] += share * spent
            owed[s, lane] -= spent
    saturate(damp.wet_node, damp.wet_air, table, damp.p_air, now, temps, moist.at, moist.full, moist.steep, lanes)
    for _ in range(2):
        set_air(
            damp.flow_from, damp.flow_to, damp.flow_humidity, damp.source_air, damp.source_heater, damp.dry_air,
            damp.dry_humidity, damp.p_air, damp.p_humidity, damp.p_source, rate, now, heat, moist.ratio, moist.carried,
            moist.dried, moist.matrix, moist.right, lanes,
        )  # fmt: skip
        wet_faces(
            damp.wet_air, moist.full, moist.evaporating, moist.condensing, moist.now, moist.rate, moist.matrix,
            moist.right, lanes,
        )  # fmt: skip
        solve_air(moist.matrix, moist.right, moist.now, lanes)
    for s in range(len(damp.wet_air)):
        for lane in range(len(lanes)):
            water = moist.rate[s, lane] * (moist.full[s, lane] - moist.now[damp.wet_air[s], lane])
            evaporated[s, lane] += share * water
            owed[s, lane] -= latent(moist.at[s, lane]) * water
    for i in range(len(moist.ratio)):
        for lane in range(len(lanes)):
            moist.ratio[i, lane] = moist.now[i, lane]
    for f in range(len(damp.flow_from)):
        a, b = damp.flow_from[f], damp.flow_to[f]
        for lane in range(len(lanes)):
            far = now[damp.p_humidity + damp.flow_humidity[f], lane] if b == NONE else moist.ratio[b, lane]
            flown[f, lane] += share * moist.carried[f, lane] * (moist.ratio[a, lane] - far)
    for d in range(len(damp.dry_air)):
        a, row = damp.dry_air[d], damp.p_humidity + damp.dry_humidity[d]
        for lane in range(len(lanes)):
            flown[len(damp.flow_from) + d, lane] += (
                share * moist.dried[d, lane] * (moist.ratio[a, lane] - now[row, lane])
            )
