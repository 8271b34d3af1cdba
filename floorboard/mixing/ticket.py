"""The ticket of a batch: what to weigh in which order, and the reading to reach after each.

Additions follow the mix's stages. A mix without stages takes its parts in order and then its
additives, and is then mixed for its mixing time.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from floorboard.mixing.batch import Addition, Batch, batch_for
from floorboard.mixing.cautions import caution_sentences
from floorboard.mixing.refusal import Finding, MixingError, refuse
from floorboard.mixing.scale_rounding import ticks_to_grams, to_ticks
from floorboard.mixing.working_time import WorkingTime, minutes_text, working_time
from floorboard.shop.base import Definition
from floorboard.shop.mixes import WorkingTimeTable

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from floorboard.shop.materials import Material
    from floorboard.shop.mixes import Mix


class Serving(Definition):
    """A layer the batch is for: mold, layer counted from 0, grams of mix, casting if begun.

    `called` is what people call the mold, as "mold 3"; an amount that is for no mold has none.
    """

    mold: str
    layer: int
    grams: float
    casting: str | None = None
    called: str | None = None

    @property
    def in_words(self) -> str:
        """What it is for: "mold 3, layer 2"."""
        name = self.called or self.mold
        return f"{name}, layer {self.layer + 1}" if name else "the amount asked"


class TicketAddition(Addition):
    """One weighing: `number` counts from 1 through the whole ticket.

    `reading_grams` is what the scale shows once it is in, tare included.
    """

    number: int
    reading_grams: float
    sift: bool = False


class TicketStage(Definition):
    """One stage: its additions, then how long to stir, in seconds, and at most how long."""

    number: int
    additions: tuple[TicketAddition, ...]
    stir_seconds: float
    stir_at_most_seconds: float | None = None
    starts_clock: bool = False
    note: str | None = None


class Ticket(Definition):
    """Everything the person making a batch needs, ready to show, print or dump as JSON.

    The working time runs from the additions of the stage with `starts_clock`;
    `mixing_seconds_of_it` of it are spent stirring before the batch is ready.
    """

    mix_id: str
    batch: Batch
    tare_grams: float
    servings: tuple[Serving, ...]
    stages: tuple[TicketStage, ...]
    weigh_seconds: float
    working_time: WorkingTime
    mixing_seconds_of_it: float
    cautions: tuple[str, ...]
    remarks: tuple[str, ...]

    @property
    def additions(self) -> tuple[TicketAddition, ...]:
        """All weighings in order."""
        return tuple(addition for stage in self.stages for addition in stage.additions)


def ticket_for(
    mix_id: str,
    mix: Mix,
    materials: Mapping[str, Material],
    servings: Sequence[Serving],
    *,
    percents: Mapping[str, float] | None = None,
    resolution_grams: float = 1.0,
    tare_grams: float = 0.0,
    temperature: float | None = None,
) -> Ticket:
    """Write the ticket of one batch for these layers, which are served in the order given.

    Parameters
    ----------
    percents : other percentages for this batch, by the additive's material.
    resolution_grams : the smallest difference the scale shows.
    tare_grams : what the scale shows before the first addition; 0 when it is zeroed.
    temperature : of room and water in C; None for the temperature the times were taken at.

    Raises
    ------
    MixingError
        As `batch_for`; also if a stage adds what the mix has not, or leaves something out.
    """
    if not 0 <= tare_grams < float("inf"):
        raise refuse("tare", f"found {tare_grams:g} g, expected nothing or more")
    batch = batch_for(
        mix,
        materials,
        sum(serving.grams for serving in servings),
        percents=percents,
        resolution_grams=resolution_grams,
    )
    lasts = working_time(mix, _table_percent(mix, percents), temperature)
    remarks = [*batch.remarks, *lasts.remarks]
    if mix.seconds_wet_to_ready >= lasts.seconds:
        remarks.append(
            f"Mixing takes {minutes_text(mix.seconds_wet_to_ready)} of a working time of "
            f"{minutes_text(lasts.seconds)}: nothing is left to apply it in."
        )
    return Ticket(
        mix_id=mix_id,
        batch=batch,
        tare_grams=tare_grams,
        servings=tuple(servings),
        stages=_stages(mix, batch, tare_grams),
        weigh_seconds=float(mix.weigh),
        working_time=lasts,
        mixing_seconds_of_it=mix.seconds_wet_to_ready,
        cautions=caution_sentences(mix.cautions),
        remarks=tuple(remarks),
    )


def stage_findings(mix: Mix) -> tuple[Finding, ...]:
    """Every material the stages leave out, or add although the mix has it not (so often)."""
    if not mix.stages:
        return ()
    listed = [part.material for part in mix.parts]
    listed += [additive.material for additive in mix.additives]
    added = [material for stage in mix.stages for material in stage.add]
    findings = []
    for material in dict.fromkeys(listed):
        if material not in added:
            findings.append(
                Finding("stages", f"found none that adds {material}, which the mix takes")
            )
    for index, stage in enumerate(mix.stages):
        for material in stage.add:
            if material not in listed:
                findings.append(
                    Finding(
                        f"stages.{index}.add",
                        f"found {material!r}, which is not in the mix; expected one of: "
                        f"{', '.join(dict.fromkeys(listed))}",
                    )
                )
    for material in dict.fromkeys(added):
        if listed.count(material) and added.count(material) > listed.count(material):
            findings.append(
                Finding(
                    "stages",
                    f"found {material} added {added.count(material)} times, expected at most "
                    f"{listed.count(material)}, as often as the mix lists it",
                )
            )
    return tuple(findings)


def _table_percent(mix: Mix, percents: Mapping[str, float] | None) -> float | None:
    if percents and isinstance(mix.working_time, WorkingTimeTable):
        return percents.get(mix.working_time.additive)
    return None


def _stages(mix: Mix, batch: Batch, tare: float) -> tuple[TicketStage, ...]:
    resolution = batch.resolution_grams
    ticks = to_ticks(tare, resolution)
    number = 0
    stages = []
    clock = len(mix.stages) - len(mix.wet_stages)
    for index, additions in enumerate(_in_order(mix, batch)):
        stage = mix.stages[index] if mix.stages else None
        rows = []
        for addition in additions:
            number += 1
            ticks += to_ticks(addition.grams, resolution)
            rows.append(
                TicketAddition(
                    **addition.model_dump(),
                    number=number,
                    reading_grams=ticks_to_grams(ticks, resolution),
                    # Nothing liquid goes through a sieve.
                    sift=stage is not None and stage.sift and addition.form != "liquid",
                )
            )
        longest = stage.stir_at_most if stage else None
        stages.append(
            TicketStage(
                number=index + 1,
                additions=tuple(rows),
                stir_seconds=float(stage.stir if stage else mix.mix or 0),
                stir_at_most_seconds=None if longest is None else float(longest),
                starts_clock=index == clock,
                note=stage.note if stage else None,
            )
        )
    return tuple(stages)


def _in_order(mix: Mix, batch: Batch) -> list[list[Addition]]:
    """Additions of each stage, in the order they go in."""
    if not mix.stages:
        return [list(batch.additions)]
    findings = stage_findings(mix)
    if findings:
        raise MixingError(*findings)
    waiting = list(batch.additions)
    mentions = [material for stage in mix.stages for material in stage.add]
    stages = []
    for stage in mix.stages:
        row: list[Addition] = []
        for material in stage.add:
            mentions.remove(material)
            # The last mention takes all that is left of it, part and additive alike.
            mine = [item for item in waiting if item.material == material]
            taken = mine if material not in mentions else mine[:1]
            row += taken
            waiting = [item for item in waiting if not any(item is one for one in taken)]
        stages.append(row)
    return stages
