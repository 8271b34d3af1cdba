"""Every action a key can start: one table for bindings, footer, key sheet and palette.

All of a plain day's work can be done on a numeric keypad: digits choose a mold, Enter confirms,
minus strikes, plus goes on, star changes the person, slash is the far view, point lets go.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from textual.binding import Binding

if TYPE_CHECKING:
    from floorboard.screens.key_bursts import Touch

Scope = Literal["everywhere", "floor"]


@dataclass(frozen=True, slots=True)
class Action:
    """An action: its name, its keys (the first is shown), what it does, and where it holds.

    `touch` says how carefully its key is taken: see `key_bursts`.
    """

    name: str
    keys: str
    label: str
    tip: str
    scope: Scope = "floor"
    in_footer: bool = True
    touch: Touch = "held"


ACTIONS: tuple[Action, ...] = (
    Action("confirm", "enter", "Confirm", "Log what the panel says, as of now", touch="once"),
    Action(
        "strike",
        "minus,backspace",
        "Strike",
        "Strike the last entry keyed at this station",
        touch="once",
    ),
    Action("next_mold", "plus,down", "Next", "Choose the next mold down the board", touch="free"),
    Action(
        "previous_mold", "up", "Previous", "Choose the mold above", in_footer=False, touch="free"
    ),
    Action("change_person", "asterisk,p", "Person", "Change whose confirm key it is"),
    Action("let_go", "full_stop,escape", "Let go", "Let go of the chosen mold", in_footer=False),
    Action(
        "begin",
        "b",
        "Begin",
        "Begin a casting in the chosen mold, or its next step",
        in_footer=False,
        touch="once",
    ),
    Action("reject", "r", "Reject", "Scrap the chosen casting, with its reason"),
    Action("rework", "w", "Rework", "Send a casting back on its finishing route", in_footer=False),
    Action(
        "set_aside",
        "a",
        "Pause",
        "Set the chosen casting aside, or take it up again",
        in_footer=False,
        touch="once",
    ),
    Action(
        "skip",
        "k",
        "Skip",
        "Leave the chosen empty mold alone for half an hour",
        in_footer=False,
        touch="once",
    ),
    Action("earlier", "e", "Earlier", "Confirm with the time it really happened", in_footer=False),
    Action(
        "lose_batch",
        "x",
        "Batch lost",
        "Say that the batch in hand set or was thrown away",
        in_footer=False,
        touch="once",
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
        touch="once",
    ),
    Action(
        "care",
        "y",
        "Cared for",
        "Log that the chosen mold had its care: washed, dried, mended",
        in_footer=False,
        touch="once",
    ),
    Action(
        "away", "u", "Away", "Say that a person has gone, or is back", in_footer=False, touch="once"
    ),
    Action(
        "heard",
        "space",
        "Heard",
        "Hush the call shown; a more urgent one still calls",
        "everywhere",
        in_footer=False,
    ),
    Action(
        "change_colours",
        "f9",
        "Colours",
        "Change the colours",
        "everywhere",
        in_footer=False,
    ),
    Action(
        "quit",
        "q",
        "Quit",
        "Close the board; every entry is on disk already",
        "everywhere",
        in_footer=False,
    ),
    Action(
        "key_sheet",
        "question_mark,f1",
        "Keys",
        "Every key and every shape there is; tap a key to press it",
        "everywhere",
    ),
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


def touch_of_action(name: str) -> Touch:
    """Return how carefully an action's key is taken; what is not in the table is held back."""
    return next((action.touch for action in ACTIONS if action.name == name), "held")


KEY_NAMES = {
    "space": "Space",
    "enter": "Enter",
    "minus": "-",
    "plus": "+",
    "asterisk": "*",
    "full_stop": ".",
    "slash": "/",
    "question_mark": "?",
}
