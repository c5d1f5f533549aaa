"""The summary of a survey: how many samples of each chain on each machine, and how sure."""

from collections.abc import Sequence
from dataclasses import dataclass, field

from chaincase.identifying.identification import SETTLED
from chaincase.survey.answering import Answer

_KEPT_APART = ("site", "machine")


@dataclass(frozen=True, slots=True)
class Group:
    """The samples of one machine that are likeliest the same chain.

    Attributes
    ----------
    machine : tuple of str
        Site and machine, as far as the sheet names them.
    designation : str
        The chain; empty for the rows that could not be read.
    count : int
        Samples.
    mean_probability : float or None
        Mean over the samples that could be read [-].
    unsettled : int
        Samples for which neither the chain nor "unlisted" reaches 0.95.
    unlisted : int
        Samples for which a chain in none of the tables is likelier than the one named.
    """

    machine: tuple[str, ...]
    designation: str
    count: int
    mean_probability: float | None
    unsettled: int
    unlisted: int


@dataclass(slots=True)
class _Sums:
    count: int = 0
    probability: float = 0.0
    unsettled: int = 0
    unlisted: int = 0


@dataclass(slots=True)
class Tally:
    """Counts answers as they pass by.

    >>> tally = Tally(("notes", "machine"))
    >>> tally.add(Answer("A1", "W124", 0.93, "W110", 0.04, 0.02, "", "", ("", "E3")))
    >>> tally.groups()
    (Group(machine=('E3',), designation='W124', count=1, mean_probability=0.93, unsettled=1, unlisted=0),)
    """

    passed: Sequence[str]
    _sums: dict[tuple[tuple[str, ...], str], _Sums] = field(default_factory=dict)

    @property
    def machine_columns(self) -> tuple[str, ...]:
        """Names of the columns that tell machines apart."""
        return tuple(name for name in _KEPT_APART if name in self.passed)

    def add(self, answer: Answer) -> None:
        """Count one answer."""
        named = dict(zip(self.passed, answer.passed, strict=True))
        machine = tuple(named[name] for name in self.machine_columns)
        sums = self._sums.setdefault((machine, answer.designation), _Sums())
        sums.count += 1
        if answer.probability is None or answer.unlisted is None:
            return
        sums.probability += answer.probability
        sums.unsettled += max(answer.probability, answer.unlisted) < SETTLED
        sums.unlisted += answer.unlisted > answer.probability

    def groups(self) -> tuple[Group, ...]:
        """Give the groups, machines in the order in which they came, the most frequent chain first."""
        machines = {machine: i for i, machine in enumerate(dict.fromkeys(machine for machine, _ in self._sums))}
        ordered = sorted(
            self._sums.items(),
            key=lambda item: (machines[item[0][0]], not item[0][1], -item[1].count, item[0][1]),
        )
        return tuple(
            Group(
                machine,
                designation,
                sums.count,
                round(sums.probability / sums.count, 6) if designation else None,
                sums.unsettled,
                sums.unlisted,
            )
            for (machine, designation), sums in ordered
        )
