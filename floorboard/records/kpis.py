"""The shop's key figures under their standard names and formulas.

Source: ISO 22400-2:2014, formulas as given in the standard's open ontology (clause text not
seen). The short forms in brackets are the standard's own. Here the work unit is a mold or a
station, and the unit of quantity is one casting. Times are in minutes; any one unit will do.

A figure is None when there is nothing to divide by: a day without work has no availability.
"""

from dataclasses import dataclass

from floorboard.shop.checked_numbers import at_least, whole


@dataclass(frozen=True, slots=True)
class UnitTimes:
    """Times of one mold or station.

    planned_busy_minutes : planned busy time (PBT), when it was meant to be in use.
    busy_minutes : actual unit busy time (AUBT), when it held a casting or was being readied.
    production_minutes : actual production time (APT), the part of that which made something.
    """

    planned_busy_minutes: float
    busy_minutes: float
    production_minutes: float

    def __post_init__(self) -> None:
        at_least(self.planned_busy_minutes, 0, "Planned busy time in minutes")
        at_least(self.busy_minutes, 0, "Busy time in minutes")
        at_least(self.production_minutes, 0, "Production time in minutes")
        if self.production_minutes > self.busy_minutes:
            raise ValueError(
                f"Production time ({self.production_minutes:g} min) is part of busy time "
                f"({self.busy_minutes:g} min) and cannot exceed it; look for a wrong log entry."
            )

    @property
    def availability(self) -> float | None:
        """APT / PBT: allocation efficiency times utilization efficiency. Over 1 in overtime."""
        return _ratio(self.production_minutes, self.planned_busy_minutes)

    @property
    def allocation_efficiency(self) -> float | None:
        """AUBT / PBT: how much of the planned time the mold was in use."""
        return _ratio(self.busy_minutes, self.planned_busy_minutes)

    @property
    def utilization_efficiency(self) -> float | None:
        """APT / AUBT: how much of the time in use made something."""
        return _ratio(self.production_minutes, self.busy_minutes)


@dataclass(frozen=True, slots=True)
class Quantities:
    """Castings produced (PQ), and of them good (GQ), scrapped (SQ) and sent to rework (RQ)."""

    produced: int
    good: int
    scrapped: int
    reworked: int

    def __post_init__(self) -> None:
        whole(self.produced, "Castings produced")
        whole(self.good, "Good castings")
        whole(self.scrapped, "Castings scrapped")
        whole(self.reworked, "Castings sent to rework")

    @property
    def unaccounted(self) -> int:
        """PQ - GQ - SQ - RQ: 0 when the counts reconcile; the ratios then sum to 1."""
        return self.produced - self.good - self.scrapped - self.reworked

    @property
    def quality_ratio(self) -> float | None:
        """GQ / PQ."""
        return _ratio(self.good, self.produced)

    @property
    def scrap_ratio(self) -> float | None:
        """SQ / PQ."""
        return _ratio(self.scrapped, self.produced)

    @property
    def rework_ratio(self) -> float | None:
        """RQ / PQ."""
        return _ratio(self.reworked, self.produced)


def first_pass_ratio(good_first_time: int, inspected: int) -> float | None:
    """First pass yield, GP / IP: good at their first inspection, of the castings inspected."""
    whole(good_first_time, "Castings good the first time")
    whole(inspected, "Castings inspected")
    if good_first_time > inspected:
        raise ValueError(f"{good_first_time} good of {inspected} inspected cannot be; count again.")
    return _ratio(good_first_time, inspected)


def throughput_rate(produced: int, order_minutes: float) -> float | None:
    """PQ / AOET: castings a minute over the actual execution time of the order."""
    whole(produced, "Castings produced")
    return _ratio(produced, at_least(order_minutes, 0, "Execution time of the order in minutes"))


def worker_efficiency(work_minutes: float, attendance_minutes: float) -> float | None:
    """APWT / APAT: hands-on work time of the people over the time they were there."""
    at_least(work_minutes, 0, "Hands-on time in minutes")
    at_least(attendance_minutes, 0, "Attendance in minutes")
    if work_minutes > attendance_minutes:
        raise ValueError(
            f"Hands-on time ({work_minutes:g} min) exceeds the time people were there "
            f"({attendance_minutes:g} min); check the shift hours or a task left running."
        )
    return _ratio(work_minutes, attendance_minutes)


def _ratio(part: float, of: float) -> float | None:
    return part / of if of else None
