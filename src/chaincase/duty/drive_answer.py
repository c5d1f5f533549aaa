"""The answer about a drive: the rating needed, how the chain stands against it, or which chains would do."""

from collections.abc import Iterator
from typing import Final

from chaincase.duty import cautions, chordal, lubrication, pressure, rating, rating_tables
from chaincase.duty.candidate import Candidate
from chaincase.duty.drive import (
    Choice,
    capacity,
    chain_of,
    choices,
    number_of,
    pitch_of,
    rated,
    service,
    strands_of,
)
from chaincase.duty.drive_form import DriveForm
from chaincase.duty.rating import HP
from chaincase.duty.result import Result, Table, Value

SCHEMA: Final = "chaincase/duty-drive-answer-1"

_FEW_TEETH: Final = 17
"""Fewer run rough and wear fast: common practice, no source."""
_MANY_TEETH: Final = 120
"""More and little wear makes the chain climb: common practice, no source."""
_RATIO: Final = 3.0
"""Ratio up to which the rating curves of ISO 10823 hold (Analysis and Design of Machine Elements p. 156)."""
_LIFE_H: Final = 15_000.0


def drive(form: DriveForm) -> Result:
    """Work out a drive.

    Parameters
    ----------
    form : DriveForm
        The drive; without a chain, chains are chosen.

    Returns
    -------
    Result
        Rating needed; with a chain its speed, pull, rating and margins; without, the table `choices`.

    Raises
    ------
    BadInput
        If a quantity cannot be, the chain is in no table, or no rating exists where one is needed.

    >>> answer = drive(DriveForm.of({"power": "10 kW", "rpm": 900, "teeth": 21, "service_factor": 1.5}))
    >>> round(answer.number("rating_needed_19_kw"), 2)
    13.46
    """
    chain = chain_of(form)
    pitch = pitch_of(form, chain)
    number = number_of(form, chain) if form.kind == "roller" else None
    offered = choices(form) if pitch is None else []
    worked = _Drive(form, chain, pitch, number, offered)
    return Result(
        schema=SCHEMA,
        title=f"chain drive {form.name}" if form.name else "chain drive",
        values=tuple(worked.values()),
        steps=tuple(worked.steps()),
        assumptions=tuple(worked.assumptions()),
        warnings=tuple(dict.fromkeys(worked.warnings())),
        sources=tuple(dict.fromkeys(worked.sources())),
        tables=(_table(offered),) if pitch is None else (),
    )


def _table(offered: list[Choice]) -> Table:
    columns = ("number", "strands", "rating_kw", "capacity_kw", "margin", "speed_m_per_s", "oiling", "edition")
    rows = tuple(
        (
            c.number,
            c.strands,
            c.rating.power / 1e3,
            c.capacity / 1e3,
            c.margin,
            c.speed,
            c.oiling or None,
            c.rating.edition,
        )
        for c in offered
    )
    return Table("choices", "smallest pitch that carries the power, by strands", columns, rows)


class _Drive:
    """One drive with what was found out about its chain."""

    def __init__(
        self, form: DriveForm, chain: Candidate, pitch: float | None, number: int | None, offered: list[Choice]
    ) -> None:
        self.form, self.chain, self.pitch, self.number, self.offered = form, chain, pitch, number, offered
        self.service = service(form)
        self.strands = strands_of(form, chain)
        self.wanted = form.power * self.service
        self.speed = chordal.chain_speed(pitch, form.teeth, form.rpm) if pitch else 0.0
        self.pull = rating.tension(form.power, self.speed) if pitch else 0.0
        self.found = self._capacity() if pitch else None

    def values(self) -> Iterator[Value]:
        f1 = f"f1 for {self.form.driven or 'smooth'} driven, {self.form.driver or 'smooth'} driving"
        yield Value("design_power_kw", "power times service factor", self.wanted / 1e3, "kW")
        yield Value("service_factor", "service factor", self.service, "", "" if self.form.service_factor else f1)
        if self.form.kind == "roller":
            yield from self._needed()
        yield from self._ratio()
        if self.pitch:
            yield from self._forces()
            yield from self._rating()
        elif self.offered:
            yield Value("choice", "simplest chain that carries it", f"No. {_name(self.offered[0])}")

    def _needed(self) -> Iterator[Value]:
        strands, tooth = rating.strand_factor(self.strands), rating.tooth_factor(self.form.teeth)
        here = rating.required_rating(self.form.power, self.service, strands)
        yield Value("strand_factor", "strand factor", strands)
        yield Value("tooth_factor", "tooth factor f2", tooth, "", "(19/z)^1.08")
        yield Value("rating_needed_kw", "rating needed of one strand, at these teeth", here / 1e3, "kW")
        yield Value("rating_needed_19_kw", "the same on a curve for 19 teeth", here * tooth / 1e3, "kW")

    def _ratio(self) -> Iterator[Value]:
        if self.form.large_teeth:
            yield Value("ratio", "ratio", self.form.large_teeth / self.form.teeth)
            yield Value(
                "large_rpm",
                "speed of the large wheel",
                self.form.rpm * self.form.teeth / self.form.large_teeth,
                "rev/min",
            )

    def _forces(self) -> Iterator[Value]:
        yield Value("chain_speed_m_per_s", "chain speed", self.speed, "m/s")
        yield Value("pull_n", "pull of the tight side", self.pull, "N", "without service factor and centrifugal pull")
        variation = chordal.speed_variation(self.form.teeth)
        yield Value("speed_variation", "swing of the chain's speed over a tooth, of the mean", variation)
        if self.chain.mass:
            pull = self.chain.mass * self.speed**2
            yield Value("centrifugal_n", "centrifugal pull on top of it", pull, "N", "m v2, one chain of the tables")
        if self.chain.tensile:
            safety = pressure.factor_of_safety(self.chain.tensile, self.pull)
            yield Value("factor_of_safety", "tensile strength over pull", safety, "", "rated drives: 11.7 to 13.9")
        elif self.number is not None:
            safety = pressure.factor_of_safety(rating.least_tensile(self.pitch or 0.0) * self.strands, self.pull)
            yield Value("factor_of_safety", "least tensile strength over pull", safety, "", "12 500 p2 lbf, ASME B29.1")
        if self.chain.pin and self.chain.bush:
            found = pressure.bearing_pressure(self.pull / self.strands, self.chain.pin, self.chain.bush)
            yield Value(
                "bearing_pressure_n_per_mm2", "pressure in the joint", found, "N/mm2", "not judged without a limit"
            )

    def _rating(self) -> Iterator[Value]:
        if self.found is None:
            return
        one, all_strands, edition = self.found
        yield Value("rating_kw", "rating of one strand", one / 1e3, "kW", edition)
        yield Value("capacity_kw", "what the chain carries", all_strands / 1e3, "kW")
        yield Value("margin", "that over power times service factor", all_strands / self.wanted)
        oiling = lubrication.lubrication(self.number, self.speed) if self.number else ""
        if oiling:
            yield Value("oiling", "oiling at this speed", oiling)

    def _capacity(self) -> tuple[float, float, str] | None:
        """Give the rating of one strand and of all [W], and where it comes from; None where there is none."""
        form, factor = self.form, rating.strand_factor(self.strands)
        if form.kind == "offset sidebar" and self.pitch and self.chain.working_load:
            power, fs, _ = rating_tables.offset_power(self.chain.working_load, self.pitch, form.teeth, form.rpm)
            return power, power, f"engineering-class formula, speed factor {fs:.3g}"
        if form.rating is not None:
            power = form.rating * self._for_teeth()
            power = power if form.hours is None else rating.for_life(power, form.hours)
            return power, power * factor, "as given"
        if self.number is not None:
            choice = capacity(form, self.number, self.strands)
            return choice.rating.power, choice.capacity, choice.rating.edition
        return None

    def _for_teeth(self) -> float:
        """Give the factor on a rating that was given for other teeth."""
        teeth, given = self.form.teeth, self.form.rating_teeth or self.form.teeth
        if self.form.rating_limit == "impact":
            return rating.impact_tooth_factor(teeth, given)
        return rating.tooth_factor(given) / rating.tooth_factor(teeth)

    def steps(self) -> Iterator[str]:
        form = self.form
        yield f"power {form.power / 1e3:.4g} kW x service {self.service:g} = {self.wanted / 1e3:.4g} kW"
        if form.kind == "roller":
            yield from self._needed_steps()
        if self.pitch:
            yield f"chain speed: {form.teeth} x {self.pitch:g} mm x {form.rpm:g}/60000 = {self.speed:.4g} m/s"
            yield f"pull: {form.power / 1e3:.4g} kW / {self.speed:.4g} m/s = {self.pull:.1f} N"
            if self.found is not None:
                one, all_strands, edition = self.found
                yield f"one strand carries {one / 1e3:.4g} kW ({one / HP:.4g} hp; {edition})"
                yield f"margin: {all_strands / 1e3:.4g} / {self.wanted / 1e3:.4g} = {all_strands / self.wanted:.3f}"
        if form.kind == "roller" and form.hours is not None:
            yield f"life: rating x (15000/{form.hours:g})^0.4 = x {(_LIFE_H / form.hours) ** 0.4:.4f}"

    def _needed_steps(self) -> Iterator[str]:
        factor, teeth = rating.strand_factor(self.strands), self.form.teeth
        tooth, here = rating.tooth_factor(teeth), self.wanted / factor / 1e3
        yield f"tooth factor: (19/{teeth})^1.08 = {tooth:.4f}"
        yield f"rating of one strand: {self.wanted / 1e3:.4g} / {factor:g} = {here:.4g} kW at {teeth} teeth"
        yield f"on a curve for 19 teeth: {here:.4g} x {tooth:.4f} = {here * tooth:.4g} kW"

    def assumptions(self) -> Iterator[str]:
        form = self.form
        if form.service_factor is None and (form.driven is None or form.driver is None):
            yield "driven machine and driver run smoothly where nothing else is said"
        if self.number is not None and self.form.chain.designation is None:
            yield f"a chain of {self.pitch:g} mm pitch is No. {self.number} of ASME B29.1"
        if form.strands is None and self.pitch and not self.chain.strands:
            yield "one strand"
        if form.kind == "roller" and form.hours is None:
            yield "life of about 15 000 h with proper oiling, elongation up to 3 %: the base of the rating curves"
        if form.rating is not None and form.rating_teeth is None:
            yield "the rating given holds for these teeth"
        if form.kind == "roller" and form.length_pitches is None:
            yield "a chain of 100 to 120 pitches: sources differ on the length that the curves stand for"

    def warnings(self) -> Iterator[str]:
        yield from self._geometry()
        yield from self._rating_limits()
        if self.chain.tensile and self.pull:
            yield from pressure.judged(self.pull / self.chain.tensile, ("once", "service", "slip fit"))
            yield from pressure.FATIGUE
        yield cautions.GUARDS
        yield cautions.LOCKOUT
        yield cautions.HOISTING
        yield cautions.ENQUIRY

    def _geometry(self) -> Iterator[str]:
        teeth, large = self.form.teeth, self.form.large_teeth
        if teeth < _FEW_TEETH and self.form.kind == "roller":
            yield f"fewer than {_FEW_TEETH} teeth run rough and wear fast (common practice, no source)"
        if max(teeth, large or 0) > _MANY_TEETH:
            yield f"more than {_MANY_TEETH} teeth: little wear makes the chain climb (common practice, no source)"
        if large and large > _RATIO * teeth:
            yield "the ratio is beyond 3:1, for which the rating curves of ISO 10823 hold"

    def _rating_limits(self) -> Iterator[str]:
        if self.pitch and self.found is None:
            yield "no rating exists here for this chain: give rating from its maker's table for these teeth and speed"
        if self.found is not None and self.found[1] < self.wanted:
            yield "the chain does not carry power times service factor"
        if self.pitch is None and not self.offered:
            yield "no size of ASME B29.1 carries this: more teeth, a lower speed, or the maker's advice"
        if self.form.kind == "roller" and self.form.rating is None:
            yield from rating.LIMITS
            yield "the power equations of ISO 10823's annex are not used: their text could not be read"
        if self.number is not None and self.form.rating is None:
            yield from filter(None, [rated(self.number, self.form.teeth, self.form.rpm)[1]])
        if self.form.kind == "offset sidebar" and self.chain.working_load and self.pitch:
            yield from filter(None, [self._offset_doubt()])

    def _offset_doubt(self) -> str:
        return rating_tables.offset_speed_factor(self.form.teeth, self.speed)[1]

    def sources(self) -> Iterator[str]:
        if self.form.service_factor is None:
            yield "application factor f1: ISO 10823 through two secondary texts"
        if self.form.kind == "roller":
            yield "tooth factor f2: ISO 10823 in Analysis and Design of Machine Elements, eq. 7.22"
        if self.strands > 1 or self.offered:
            yield "strand factors: two American sources"
        if self.form.kind == "offset sidebar":
            yield "engineering-class drive: HP = WL p T R / (396 000 Fs), independent public engineering table"
        elif self.form.rating is None:
            yield rating_tables.grid("no25_power").standard if self.number == 25 else rating.EDITION
        if self.number is not None or self.offered:
            yield lubrication.SOURCE
        if self.form.hours is not None:
            yield "life: solutions manual to Mechanical Engineering Design, eq. 17-40"
        if self.chain.origin:
            yield self.chain.origin


def _name(choice: Choice) -> str:
    return f"{choice.number}" if choice.strands == 1 else f"{choice.number}-{choice.strands}"
