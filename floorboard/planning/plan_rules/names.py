"""The rules by name, each in a sentence; the names that breaches carry."""

from __future__ import annotations

from types import MappingProxyType

RULES = MappingProxyType(
    {
        "one task a person": "A person does one hands-on task at a time.",
        "shift": "Hands-on work lies within the shift of its person and never across a break.",
        "skill": "A task is given to somebody of the shop with the skill for it.",
        "length": "A task takes the time it takes.",
        "batch": "A batch is made and applied by one person without a gap, layer after layer.",
        "working time": "From wetting to the end of its last layer a batch stays inside its "
        "working time less the margin.",
        "one wet batch": "A person with a batch in hand does nothing else until it is used up.",
        "bucket": "A batch, allowance for loss included, fits the bucket and is enough.",
        "same mix": "All layers of a batch take the mix of the batch.",
        "mix ahead": "Where mixing ahead is not allowed, a batch is begun only when the cure "
        "before its first layer is reached.",
        "partial cure": "A layer starts no earlier than the partial cure after the one before.",
        "recoat window": "A layer starts no later than the recoat window after the one before.",
        "readied": "The first layer starts only in a mold that is readied.",
        "full cure": "Demolding starts no earlier than the full cure after the last layer.",
        "waiting time": "A finishing step starts only when the waits before it are over.",
        "start by": "A finishing step starts within the greatest wait after the step before.",
        "one casting a mold": "A mold holds one casting from the start of readying to the end "
        "of demold.",
        "mold out": "Nothing is begun in a mold that is out of service, resting, worn out or of "
        "another piece.",
        "station": "A station of limited number holds no more than its number.",
        "past": "Nothing is planned before the moment the plan was made.",
        "in hand": "Work in hand is carried as it was logged, all of it.",
        "whole": "A casting is planned whole: every step to demold once, finishing in order.",
        "left out": "A casting in a mold whose window closes is carried to demold or named as lost.",
        "stated": "Cures, moments and the horizon a plan states are those its tasks amount to.",
    }
)
