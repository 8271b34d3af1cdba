"""The JSON schemas of what the mix desk's commands print."""

from __future__ import annotations

from typing import Any


def desk_schemas() -> dict[str, dict[str, Any]]:
    """Return the schema of each command's --json output, by the command's words."""
    from pydantic import TypeAdapter

    from floorboard.mixing.backwards import LayersFrom
    from floorboard.mixing.correction import Correction
    from floorboard.mixing.stock_outlook import StockLine
    from floorboard.mixing.ticket import Ticket
    from floorboard.mixing.working_time import WorkingTime
    from floorboard.usecases.cost_reports import OrderCostReport, PieceCostReport, ScrapReport
    from floorboard.usecases.costs import CastingCostSoFar
    from floorboard.usecases.lot_lines import LotLine
    from floorboard.usecases.traces import CastingTraced, LotTraced

    return {
        "ticket": Ticket.model_json_schema(),
        "correct": Correction.model_json_schema(),
        "working-time": WorkingTime.model_json_schema(),
        "layers": LayersFrom.model_json_schema(),
        "stock": TypeAdapter(list[StockLine]).json_schema(),
        "stock lots": TypeAdapter(list[LotLine]).json_schema(),
        "trace lot": LotTraced.model_json_schema(),
        "trace casting": CastingTraced.model_json_schema(),
        "cost casting": CastingCostSoFar.model_json_schema(),
        "cost piece": PieceCostReport.model_json_schema(),
        "cost order": OrderCostReport.model_json_schema(),
        "cost scrap": ScrapReport.model_json_schema(),
    }
