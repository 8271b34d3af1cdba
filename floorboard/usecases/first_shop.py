"""A newcomer's first shop, from a dozen plain answers."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import tomlkit

from floorboard.shop.base import LONGEST_ID
from floorboard.shop.errors import FloorboardError, ShopFileError
from floorboard.shop.file import read_shop

if TYPE_CHECKING:
    from floorboard.shop.errors import Problem
    from floorboard.shop.shop import Shop


class AnswersRefused(FloorboardError):
    """Answers a shop cannot be made of; one sentence for each, and the keys of their questions."""

    def __init__(self, problems: list[tuple[str, str]]) -> None:
        self.keys = tuple(dict.fromkeys(key for key, _ in problems if key))
        super().__init__("\n".join(dict.fromkeys(said for _, said in problems)))


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the guide, with an answer to start from."""

    key: str
    text: str
    answer: str


QUESTIONS: tuple[Question, ...] = (
    Question("shop", "What is the shop called?", "My shop"),
    Question("zone", "Which time zone is its clock in?", "Europe/London"),
    Question("person", "What is your name?", "Me"),
    Question("start", "When does your day start?", "08:00"),
    Question("end", "When does it end?", "17:00"),
    Question("powder", "What powder do you mix?", "Plaster"),
    Question("liquid", "With what liquid?", "Water"),
    Question("ratio", "How many parts of powder to how many of liquid, by weight?", "10 : 7"),
    Question("working", "How long can a batch be worked once it is wetted?", "15 min"),
    Question("bucket", "How much does your bucket hold?", "3 kg"),
    Question("piece", "What do you cast?", "Bowl"),
    Question("molds", "How many molds of it do you have?", "2"),
    Question("layers", "How many layers does a casting have?", "2"),
    Question("grams", "How much mix goes into one layer?", "400 g"),
    Question("apply", "How long do you work a layer?", "5 min"),
    Question("partial", "How long must a layer cure before the next?", "15 min"),
    Question("recoat", "By when must the next be in, or 'none' if any time will do?", "45 min"),
    Question("full", "How long from the last layer to demold?", "45 min"),
)
# Where in the shop each answer stands.
FIELDS = {
    "shop.name": "shop",
    "shop.zone": "zone",
    "people.me.name": "person",
    "people.me.shifts[1]": "end",
    "people.me.shifts[1].start": "start",
    "people.me.shifts[1].end": "end",
    "materials.powder.name": "powder",
    "materials.liquid.name": "liquid",
    "mixes.mix.working_time": "working",
    "mixes.mix.largest_batch": "bucket",
    "pieces.piece.name": "piece",
    "pieces.piece.layers": "recoat",
    "pieces.piece.layers.amount": "grams",
    "pieces.piece.layers.apply": "apply",
    "pieces.piece.layers.partial_cure": "partial",
    "pieces.piece.layers.recoat_by": "recoat",
    "pieces.piece.full_cure": "full",
}
# What the guide does not ask, and the set-up screen can change later.
WEIGH, MIX, READY, DEMOLD = "2 min", "2 min", "4 min", "3 min"
MOST_MOLDS, MOST_LAYERS = 99, 12
# Ids made of a name leave room for what sets the mix, the molds or the liquid apart.
_LIQUID, _MIX = "-liquid", "-mix"


def first_shop(answers: dict[str, str]) -> Shop:
    """Return a shop made of the answers, one for each of `QUESTIONS`.

    Raises
    ------
    AnswersRefused
        With a sentence for everything that cannot be.
    """
    given = {q.key: answers.get(q.key, q.answer).strip() or q.answer for q in QUESTIONS}
    problems: list[tuple[str, str]] = []
    molds = _whole(given["molds"], MOST_MOLDS, "molds", problems)
    layers = _whole(given["layers"], MOST_LAYERS, "layers", problems)
    powder_parts, liquid_parts = _ratio(given["ratio"], problems)
    document = _document(given, max(1, molds), max(1, layers), (powder_parts, liquid_parts))
    try:
        shop = read_shop(tomlkit.dumps(document), "answers")
    except ShopFileError as error:
        problems += [_said(problem, _ids(given)) for problem in error.problems]
    if problems:
        raise AnswersRefused(problems)
    return shop


def _said(problem: Problem, ids: dict[str, str]) -> tuple[str, str]:
    """Return the key of the question that a mistake is about, and the mistake in its words."""
    field = re.sub(r"layers\[\d+\]", "layers", problem.field)
    for key, id_ in ids.items():
        field = re.sub(rf"^([a-z]+)\.{re.escape(id_)}(?=\.|$)", rf"\1.{key}", field)
    key = FIELDS.get(field, "")
    asked = next((q.text for q in QUESTIONS if q.key == key), problem.field)
    return key, f"{asked} Found {problem.found}, expected {problem.expected}."


def _whole(text: str, most: int, what: str, problems: list[tuple[str, str]]) -> int:
    number = int(text) if text.isascii() and text.isdigit() and len(text) < 5 else 0
    if not 1 <= number <= most:
        problems.append((what, f"Found {text[:40]!r} {what}; type a number from 1 to {most}."))
        return 0
    return number


def _ratio(text: str, problems: list[tuple[str, str]]) -> tuple[float, float]:
    try:
        powder, liquid = (float(part) for part in text.split(":"))
        if not (0 < powder <= 10_000 and 0 < liquid <= 10_000):
            raise ValueError
    except ValueError:
        said = f"Found the parts {text[:40]!r}; type two numbers such as '10 : 7'."
        problems.append(("ratio", said))
        return 1.0, 1.0
    return powder, liquid


def _ids(given: dict[str, str]) -> dict[str, str]:
    """Ids made of the names given, so that commands can be told "bowl" and "plaster"."""
    ids = {key: _id_of(given[key], key) for key in ("powder", "liquid", "piece")}
    if ids["liquid"] == ids["powder"]:
        ids["liquid"] = ids["powder"][: LONGEST_ID - len(_LIQUID)] + _LIQUID
    return ids | {"mix": ids["powder"] + _MIX}


def _id_of(name: str, otherwise: str) -> str:
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    longest = LONGEST_ID - len(_MIX)
    return re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:longest].strip("-") or otherwise


def _document(
    given: dict[str, str], molds: int, layers: int, parts: tuple[float, float]
) -> dict[str, Any]:
    ids = _ids(given)
    layer: dict[str, Any] = {"mix": ids["mix"], "amount": given["grams"], "apply": given["apply"]}
    between = {"partial_cure": given["partial"], "recoat_by": given["recoat"]}
    shift = {"days": "mon-sun", "start": given["start"], "end": given["end"]}
    return {
        "shop": {"name": given["shop"], "zone": given["zone"]},
        "people": {"me": {"name": given["person"], "shifts": [shift]}},
        "materials": {
            ids["liquid"]: {"name": given["liquid"], "form": "liquid"},
            ids["powder"]: {"name": given["powder"], "form": "powder"},
        },
        "mixes": {
            ids["mix"]: {
                "name": f"{given['powder']} mix",
                # Weighed in this order: powder goes into the liquid (common practice, no source).
                "parts": [
                    {"material": ids["liquid"], "parts": parts[1]},
                    {"material": ids["powder"], "parts": parts[0]},
                ],
                "weigh": WEIGH,
                "mix": MIX,
                "working_time": given["working"],
                "largest_batch": given["bucket"],
            }
        },
        "pieces": {
            ids["piece"]: {
                "name": given["piece"],
                "ready": READY,
                "full_cure": given["full"],
                "demold": DEMOLD,
                "layers": [layer | between for _ in range(layers - 1)] + [layer],
                "route": [{"kind": "trim", "takes": "5 min"}, {"kind": "pack", "takes": "3 min"}],
            }
        },
        "molds": {
            f"{ids['piece']}-{n}": {"number": n, "piece": ids["piece"]} for n in range(1, molds + 1)
        },
    }
