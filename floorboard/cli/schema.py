"""`floorboard schema`: the JSON schemas of what the commands print."""

from __future__ import annotations

from typing import Any

import click

from floorboard.cli.options import print_json


def schemas() -> dict[str, dict[str, Any]]:
    """Return the JSON schema of each command's --json output, by the command's name."""
    from pydantic import TypeAdapter

    from floorboard.cli.desk_schemas import desk_schemas
    from floorboard.floor.events import Entry
    from floorboard.planning.chance import Chance
    from floorboard.planning.keep_busy import KeepBusy
    from floorboard.planning.plan import Plan
    from floorboard.planning.promise import Promise
    from floorboard.planning.rotation_draft import ShopRound
    from floorboard.planning.whatif import WhatIf
    from floorboard.records.finishing_model import FinishingQueue
    from floorboard.records.mold_report_model import MoldReport
    from floorboard.records.quality_model import QualityReport
    from floorboard.records.tally_model import Tally
    from floorboard.records.times_model import TimesReport
    from floorboard.shop.shop import Shop
    from floorboard.store.backup import Backup
    from floorboard.store.verify import Finding
    from floorboard.usecases.handover import Handover

    return {
        "plan": Plan.model_json_schema(),
        "chance": Chance.model_json_schema(),
        "rotation": ShopRound.model_json_schema(),
        "rotation-piece": KeepBusy.model_json_schema(),
        "promise": Promise.model_json_schema(),
        "what-if": WhatIf.model_json_schema(),
        "tally": Tally.model_json_schema(),
        "finishing": FinishingQueue.model_json_schema(),
        **desk_schemas(),
        "quality": QualityReport.model_json_schema(),
        "molds": MoldReport.model_json_schema(),
        "times": TimesReport.model_json_schema(),
        "handover": Handover.model_json_schema(),
        "log": TypeAdapter(list[Entry]).json_schema(),
        "shop": Shop.model_json_schema(),
        "check": TypeAdapter(list[Finding]).json_schema(),
        "backup": TypeAdapter(list[Backup]).json_schema(),
    }


@click.command()
@click.argument("name", required=False)
def schema(name: str | None) -> None:
    """Print the JSON schema of what a command prints with --json; without a name, list them."""
    found = schemas()
    if name is None:
        click.echo("\n".join(found))
        return
    if name not in found:
        raise click.BadParameter(
            f"there is no schema {name!r}; expected one of: {', '.join(found)}"
        )
    print_json(found[name])
