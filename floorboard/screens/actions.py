"""Every action a key can start: one table for bindings, footer, key sheet and palette.

All of a plain day's work can be done on a numeric keypad: digits choose a mold, Enter confirms,
minus strikes, plus goes on, star changes the person, slash is the far view, point lets go.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from textual.binding import Binding

Scope = Literal["everywhere", "floor"]


@dataclass(frozen=True, slots=True)
class Action:
    """An action: its name, its keys (the first is shown), what it does, and where it holds."""

    name: str
    keys: str
    label: str
    tip: str
    scope: Scope = "floor"
    in_footer: bool = True


ACTIONS: tuple[Action, ...] = (
    Action("confirm", "enter", "Confirm", "Log what the panel says, as of now"),
    Action("strike", "minus,backspace", "Strike", "Strike the last entry keyed at this station"),
    Action("next_mold", "plus,down", "Next", "Choose the next mold down the board"),
    Action("previous_mold", "up", "Previous", "Choose the mold above", in_footer=False),
    Action("change_person", "asterisk,p", "Person", "Change whose confirm key it is"),
    Action("let_go", "full_stop,escape", "Let go", "Let go of the chosen mold", in_footer=False),
    Action(
        "begin",
        "b",
        "Begin",
        "Begin a casting in the chosen mold, or its next step",
        in_footer=False,
    ),
    Action("reject", "r", "Reject", "Scrap the chosen casting, with its reason"),
    Action("rework", "w", "Rework", "Send a casting back on its finishing route", in_footer=False),
    Action(
        "set_aside",
        "a",
        "Pause",
        "Set the chosen casting aside, or take it up again",
        in_footer=False,
    ),
    Action(
        "skip", "k", "Skip", "Leave the chosen empty mold alone for half an hour", in_footer=False
    ),
    Action("earlier", "e", "Earlier", "Confirm with the time it really happened", in_footer=False),
    Action(
        "lose_batch",
        "x",
        "Batch lost",
        "Say that the batch in hand set or was thrown away",
        in_footer=False,
    ),
    Action("weigh", "g", "Weigh", "Log the chosen casting's weight", in_footer=False),
    Action("wall", "c", "Wall", "Log a caliper reading of the chosen casting", in_footer=False),
    Action("note", "n", "Note", "Write a note on the chosen mold or casting", in_footer=False),
    Action(
        "mold_service",
        "v",
        "Mold out",
        "Take the chosen mold out of service, or put it back",
        in_footer=False,
    ),
    Action("away", "u", "Away", "Say that a person has gone, or is back", in_footer=False),
)


def bindings(scope: Scope) -> list[Binding]:
    """Return the key bindings of a scope, in the order of the table."""
    return [
        Binding(
            action.keys,
            action.name,
            action.label,
            show=action.in_footer,
            tooltip=action.tip,
            id=action.name,
            key_display=KEY_NAMES.get(action.keys.split(",")[0]),
        )
        for action in ACTIONS
        if action.scope == scope
    ]


KEY_NAMES = {
    "enter": "Enter",
    "minus": "-",
    "plus": "+",
    "asterisk": "*",
    "full_stop": ".",
    "slash": "/",
    "question_mark": "?",
}
