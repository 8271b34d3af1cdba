import pytest

from floorboard.mixing.ticket import ticket_for
from floorboard.mixing.ticket_text import ticket_text
from floorboard.mixing.weight_text import in_units, weight_text
from tests.mixing.mixes import MATERIALS, mix
from tests.mixing.test_ticket import STAGED, serve

EXPECTED = """\
Two to one: 343 g

  for 1. m1, layer 1: 123 g
  for 2. m2, layer 2: 200 g
  and 20 g that stays in the bucket
  the scale starts at 412 g

Stage 1 of 4
  1. Liquid B                      106 g  scale shows        518 g

Stage 2 of 4
  2. Powder A                      212 g  scale shows        730 g
     (sift in)
     stir 1 min

Stage 3 of 4: the working time of 7 min starts here
  3. Quick                           6 g  scale shows        736 g
     (6 % of Liquid B)
     stir 30 s; Late and quickly.

Stage 4 of 4
  4. Glass                          19 g  scale shows        755 g
     (6 % of all parts)
     stir 20 s, never more than 40 s

Ready 50 s into a working time of 7 min; 6 min 10 s to apply it.
Rounded to the scale's 1 g: nothing over or under in all.
! Quick should be 6.352 g and can be weighed as 6 g: the scale's 1 g
  puts it 5.5 % off; use a finer scale for it.
! 6 % of quick is past the table's end: the working time of 7 min holds
  for 5 %.
! 6 % of quick is past the table's end: the cure of 20 min holds for
  5 %.

Dust: wear a respirator when weighing powder or sanding, and pour powder
  low.
Fibre: gloves, sleeves and eye protection; keep loose fibre out of the
  air.
Skin: wear gloves; rinse wet mix off at once.
The supplier's safety data sheet and local rules come before these
  lines.
"""


def test_the_plain_ticket_reads_as_it_is_worked() -> None:
    made = mix(**STAGED, loss={"each": "20 g"})
    ticket = ticket_for(
        "x", made, MATERIALS, serve(123, 200), tare_grams=412, percents={"quick": 6}
    )
    assert ticket_text(ticket) == EXPECTED


@pytest.mark.parametrize(
    ("grams", "resolution", "units", "text"),
    [
        (123.4, 1, "metric", "123 g"),
        (123.44, 0.1, "metric", "123.4 g"),
        (122.5, 0.5, "metric", "122.5 g"),
        (123, 5, "metric", "123 g"),
        (-0.04, 0.1, "metric", "0.0 g"),
        (28.349523125, 28.349523125, "us", "1 oz"),
        (453.59237, 2.8349523125, "us", "1 lb 0.0 oz"),
        (453.0, 2.8349523125, "us", "1 lb 0.0 oz"),
        (567, 28.349523125, "us", "1 lb 4 oz"),
        (-567, 28.349523125, "us", "-1 lb 4 oz"),
        (100, 1, "us", "3.53 oz"),
    ],
)
def test_a_weight_is_written_as_fine_as_the_scale_shows_it(grams, resolution, units, text) -> None:
    # Pounds and ounces: NIST SP 811, exact.
    assert weight_text(grams, resolution, units) == text


@pytest.mark.parametrize(
    ("sentence", "shown"),
    [
        # NIST SP 811: an ounce is 28.349523125 g, exact.
        ("Salt is 28.349523125 g over.", "Salt is 1.00 oz over."),
        ("found 1 360.8 g, expected 20 g", "found 3 lb 0.00 oz, expected 0.71 oz"),
        ("1.8 g/ml stays, as do 5 glass and 12 gram", "1.8 g/ml stays, as do 5 glass and 12 gram"),
    ],
)
def test_sentences_are_said_in_the_units_the_shop_reads(sentence, shown) -> None:
    assert in_units(sentence, "us", 2.8349523125) == shown
    assert in_units(sentence, "metric") == sentence
