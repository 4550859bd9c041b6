"""How the numbers of a network answer to a few inputs, learned from networks made with the inputs changed.

A thousand variants of one house differ in a few numbers only. Which ones, and how, need not be known beforehand: the
house is assembled a few times with each input changed, and every number of the network is then a factor, a shift, or
a course of its own in that input. Variants are made from that by arithmetic, lane by lane.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from heatloss.balance.kernel import Values
from heatloss.balance.network import Network
from heatloss.balance.plan import Plan, compile_networks

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
EXACT = 1e-9
"""A number counts as scaled, or as shifted, when it is so in every hour to this share of its largest value."""
FEW = 3
"""Up to so many levels lie on straight lines, more on a smooth curve without overshoot."""


@dataclass(frozen=True)
class Answer:
    """What one input does to one row of numbers, at the levels it was learned at.

    Attributes
    ----------
    row : int
    levels : (levels,)
        Of the input, rising; the unchanged house's own among them.
    scale, shift : (levels,)
        The row is (row + shift + part * course) * scale.
    part : (levels,)
    course : (steps,) or None
        What neither factor nor shift can say.
    """

    row: int
    levels: Floats
    scale: Floats
    shift: Floats
    part: Floats
    course: Floats | None

    def at(self, x: Floats) -> tuple[Floats, Floats, Floats]:
        """Scale, shift and part at values of the input."""
        if len(self.levels) > FEW:
            from scipy.interpolate import PchipInterpolator

            inside = np.clip(x, self.levels[0], self.levels[-1])
            scale, shift, part = PchipInterpolator(self.levels, np.stack([self.scale, self.shift, self.part]).T)(
                inside
            ).T
        else:
            scale, shift, part = (np.interp(x, self.levels, known) for known in (self.scale, self.shift, self.part))
        return scale, shift, part


@dataclass(frozen=True, eq=False)
class Response:
    """A network and what each input does to it.

    Attributes
    ----------
    plan : Plan
        Of the unchanged network, one lane.
    answers : {input: what it does, row by row}
    error : {input: share}
        The most by which a learned network differs from its answer, relative to the row's largest value [1].
    """

    plan: Plan
    answers: Mapping[str, Sequence[Answer]]
    error: Mapping[str, float] = field(default_factory=dict)

    @classmethod
    def learn(cls, base: Network, changed: Mapping[str, Mapping[float, Network]], neutral: Mapping[str, float],
              steps: int) -> Response:  # fmt: skip
        """Learn from networks by input and level.

        Parameters
        ----------
        base : Network
        changed : {input: {level: network}}
            Networks of the same ties, each with one input changed.
        neutral : {input: level}
            Where the unchanged network stands.
        steps : int
            Length of the driver columns.

        Raises
        ------
        InputError
            Where an input changes what is tied to what.
        """
        every = [base, *(net for levels in changed.values() for net in levels.values())]
        whole = compile_networks(every, steps, None)
        rows = _Rows(whole, steps)
        answers: dict[str, list[Answer]] = {}
        error: dict[str, float] = {}
        lane = 1
        for name, levels in changed.items():
            lanes = {neutral[name]: 0, **{level: lane + i for i, level in enumerate(levels)}}
            lane += len(levels)
            found = [rows.answer(row, lanes) for row in rows.moved(list(lanes.values()))]
            answers[name] = [answer for answer, _ in found]
            error[name] = max((miss for _, miss in found), default=0.0)
        return cls(_only(whole, 0), answers, error)

    def lanes(self, inputs: Mapping[str, Floats]) -> Plan:
        """The plan of a batch, one lane for each value of the inputs (all of one length)."""
        count = len(next(iter(inputs.values())))
        old = self.plan
        rows = [np.repeat(part, count, axis=1) for part in (old.values.offset, *_still(old))]
        factor: Floats = np.repeat(old.values.factor, count, axis=1)
        column: Ints = np.repeat(old.values.column, count, axis=1)
        offset, columns = np.concatenate(rows), list(old.columns)
        scale: dict[int, Floats] = {}
        for name, x in inputs.items():
            for answer in self.answers[name]:
                times, plus, part = answer.at(x)
                scale[answer.row] = scale.get(answer.row, 1.0) * times
                offset[answer.row] += plus
                if answer.course is not None:
                    _bend(answer.row, part, answer.course, factor, column, columns)
        for row, times in scale.items():
            offset[row] *= times
            if row < len(factor):
                factor[row] *= times
        varying = np.flatnonzero((factor != 0.0).any(axis=1)).astype(np.uint32)
        parts = np.split(offset, np.cumsum([len(part) for part in rows])[:-1])
        offset, capacity, start, humid = (np.ascontiguousarray(part) for part in parts)
        return old._replace(
            topology=old.topology._replace(varying=varying),
            values=Values(offset, factor, column, capacity, np.repeat(old.values.freezing, count, axis=1)),
            columns=columns,
            start=start,
            start_humidity=humid,
            start_ice=np.repeat(old.start_ice, count, axis=1),
        )


def _still(plan: Plan) -> tuple[Floats, Floats, Floats]:
    """The numbers of a plan that have one value for the whole run."""
    return plan.values.capacity, plan.start, plan.start_humidity


def _bend(row: int, part: Floats, course: Floats, factor: Floats, column: Ints, columns: list[Floats]) -> None:
    """Add a part of a course to a row: each lane gets a column of its own."""
    for lane in np.flatnonzero(part):
        known = 0.0 if factor[row, lane] == 0.0 else factor[row, lane] * columns[column[row, lane] - 1]
        columns.append(known + part[lane] * course)
        factor[row, lane], column[row, lane] = 1.0, len(columns)


class _Rows:
    """Every number of a plan as a row: parameters, capacities, starts of temperature and of humidity."""

    def __init__(self, plan: Plan, steps: int) -> None:
        self.plan, self.steps = plan, steps
        values = plan.values
        known: dict[bytes, int] = {}
        same = np.array([0, *(known.setdefault(c.tobytes(), i + 1) for i, c in enumerate(plan.columns))])
        self.like = np.where(values.factor != 0.0, same[values.column], 0)
        self.parameters = len(values.offset)
        self.still = np.concatenate(_still(plan))
        top, first = plan.topology, self.parameters + len(values.capacity)
        self.temperatures = np.zeros(self.parameters + len(self.still), dtype=bool)
        self.temperatures[top.p_boundary : top.p_source] = True
        self.temperatures[top.p_actuator : plan.damp.p_air : 2] = True
        self.temperatures[first : first + len(plan.start)] = True

    def moved(self, lanes: list[int]) -> list[int]:
        """Rows that are not equal in all these lanes."""
        values = self.plan.values
        tables = [values.offset, values.factor, self.like]
        parameters = np.any([(t[:, lanes] != t[:, [0]]).any(axis=1) for t in tables], axis=0)
        still = (self.still[:, lanes] != self.still[:, [0]]).any(axis=1)
        return [int(row) for row in np.flatnonzero(np.concatenate([parameters, still]))]

    def array(self, row: int, lane: int) -> Floats:
        """One number per step."""
        if row >= self.parameters:
            return np.full(1, self.still[row - self.parameters, lane])
        values = self.plan.values
        offset, factor, column = values.offset[row, lane], values.factor[row, lane], values.column[row, lane]
        if factor == 0.0:
            return np.full(self.steps, offset)
        return np.asarray(
            offset + factor * (1.0 if column == 0 else self.plan.columns[column - 1]) * np.ones(self.steps)
        )

    def answer(self, row: int, lanes: Mapping[float, int]) -> tuple[Answer, float]:
        """What an input does to a row, and how far from true that is."""
        levels = np.array(sorted(lanes))
        own = self.array(row, 0)
        there = np.stack([self.array(row, lanes[level]) for level in levels])
        finite = np.isfinite(own)
        own, there = np.where(finite, own, 0.0), np.where(finite, there, 0.0)
        size = float(np.abs(there).max()) or 1.0
        square = float(own @ own)
        times = there @ own / square if square > 0.0 else np.ones(len(levels))
        plus = (there - own).mean(axis=1)
        one, none = np.ones(len(levels)), np.zeros(len(levels))
        scaled = Answer(row, levels, times, none, none, None), float(np.abs(there - np.outer(times, own)).max()) / size
        shifted = Answer(row, levels, one, plus, none, None), float(np.abs(there - own - plus[:, None]).max()) / size
        for answer, miss in (shifted, scaled) if self.temperatures[row] else (scaled, shifted):
            if miss <= EXACT:
                return answer, miss
        course = (there - own)[int(np.argmax(np.abs(there - own).sum(axis=1)))]
        part = (there - own) @ course / float(course @ course)
        miss = float(np.abs(there - own - np.outer(part, course)).max()) / size
        return Answer(row, levels, one, none, part, course), miss


def _only(plan: Plan, lane: int) -> Plan:
    """One lane of a plan, with the columns it uses."""
    offset, factor, capacity, freezing = (
        np.ascontiguousarray(v[:, [lane]])
        for v in (plan.values.offset, plan.values.factor, plan.values.capacity, plan.values.freezing)
    )
    column = plan.values.column[:, [lane]]
    used = sorted(set(column[factor != 0.0].tolist()) - {0})
    place = np.zeros(1 + len(plan.columns), dtype=np.int64)
    place[used] = np.arange(1, len(used) + 1)
    values = Values(offset, factor, place[np.where(factor != 0.0, column, 0)], capacity, freezing)
    start, humid, ice = (
        np.ascontiguousarray(part[:, [lane]]) for part in (plan.start, plan.start_humidity, plan.start_ice)
    )
    columns = [plan.columns[i - 1] for i in used]
    return plan._replace(values=values, columns=columns, start=start, start_humidity=humid, start_ice=ice)
