"""The rules a schedule keeps: one name each, used by the model, the checker and the messages."""

from __future__ import annotations

from types import MappingProxyType

RULES = MappingProxyType(
    {
        "presence": "A group is wholly present or wholly absent; other tasks are present.",
        "length": "A task takes its set-up, unless it rides on a batch, and its duration.",
        "facts": "Work in hand starts when it started, by whom it was started.",
        "time": "A task starts no earlier than its release or now, and ends by its deadline.",
        "skill": "A hands-on task has one person who can do it, a passive one has none.",
        "stretch": "A hands-on task lies wholly inside one stretch of its person.",
        "one_task": "A person does one task at a time.",
        "batch": "A task that rides on a batch follows one other of its family, at once.",
        "batch_weight": "The weights of a batch do not exceed its family's greatest.",
        "batch_span": "A batch is used up within its family's span after it was wet.",
        "least_wait": "The least waits are kept.",
        "greatest_wait": "The greatest waits are kept.",
        "station": "A station is never used beyond its capacity.",
        "objective": "The stated objective is what the placements amount to.",
    }
)
"""Rule name -> what it says. Facts are no breaches among themselves."""
