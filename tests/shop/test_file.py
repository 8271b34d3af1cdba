"""A shop file is read whole or refused whole, with every mistake, its line, and what was expected."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from floorboard.shop.cross_checks import findings
from floorboard.shop.errors import FloorboardError, Problem, ShopFileError, field_text
from floorboard.shop.file import MOST_PROBLEMS, read_shop, read_shop_file
from floorboard.shop.locations import seed_file
from floorboard.shop.toml_text import LARGEST_BYTES

FIRST = seed_file("first.toml").read_text(encoding="utf-8")

BAD = """\
[shop]
name = "A"
zone =
pour_margin = "3 parsec"

[people.ana]
name = "Ana"
shifts = [ { start = "7:30", end = "25:00" } ]
hourly = "x"

[materials.water]
name = "W"
form = "liqid"

[materials.plaster]
name = "P"
form = "powder"
densty = "1 g/ml"

[mixes.a]
name = "a"
parts = [ { material = "plaster", parts = 2 },
    { material = "watr", parts = 1 }, ]
additives = [ { material = "acc", percent = "5 %", of = "waterr" } ]
weigh = "1 min"
mix = "90 s"
working_time = { additive = "zz", points = [] }
largest_batch = "1 kg"

[pieces.bowl]
name = "Bo\\u0007wl"
ready = "1 min"
full_cure = 35
[[pieces.bowl.layers]]
mix = "a"
amount = "100 g"
apply = "1 min"
[[pieces.bowl.layers]]
mix = "b"
apply = "1 min"

[molds]
a = { number = 1, piece = "bowl" }
b = { number = 1, piece = "boul" }
c = { number = "2", piece = "bowl", retire = 3 }
D = { number = 4, piece = "bowl" }

[orders]
x = { piece = "bowl", quantity = 0, due = "tomorrow" }
"""

BAD_PLACES = [
    (3, ""),
    (4, "shop.pour_margin"),
    (8, "people.ana.shifts[1].end"),
    (9, "people.ana.hourly"),
    (13, "materials.water.form"),
    (18, "materials.plaster.densty"),
    (23, "mixes.a.parts[2].material"),
    (24, "mixes.a.additives[1].material"),
    (24, "mixes.a.additives[1].of"),
    (27, "mixes.a.working_time.additive"),
    (27, "mixes.a.working_time.points"),
    (30, "pieces.bowl.demold"),
    (31, "pieces.bowl.name"),
    (33, "pieces.bowl.full_cure"),
    (38, "pieces.bowl.layers[2]"),
    (39, "pieces.bowl.layers[2].mix"),
    (44, "molds.b.number"),
    (44, "molds.b.piece"),
    (45, "molds.c.number"),
    (45, "molds.c.retire"),
    (46, "molds.D"),
    (49, "orders.x.due"),
    (49, "orders.x.quantity"),
]


def problems_of(text: str) -> tuple[Problem, ...]:
    with pytest.raises(ShopFileError) as refused:
        read_shop(text, "my.toml")
    return refused.value.problems


def places_of(text: str) -> list[tuple[int, str]]:
    return [(problem.line, problem.field) for problem in problems_of(text)]


def test_all_mistakes_come_at_once_each_on_its_line() -> None:
    assert sorted(places_of(BAD)) == BAD_PLACES
    assert [problem.line for problem in problems_of(BAD)] == [line for line, _ in BAD_PLACES]


def test_every_problem_is_one_sentence_with_what_was_found_and_expected() -> None:
    problems = problems_of(BAD)
    for problem in problems:
        assert problem.sentence.startswith(f"my.toml, line {problem.line}")
        assert "found" in problem.sentence or "expected" in problem.sentence
        assert "\n" not in problem.sentence
        assert "pydantic" not in problem.sentence
    said = {problem.field: problem.sentence for problem in problems}
    assert said["materials.water.form"] == (
        "my.toml, line 13, materials.water.form: found 'liqid', expected one of: 'powder', "
        "'liquid' or 'fibre'."
    )
    assert "perhaps 'density'" in said["materials.plaster.densty"]
    assert "lower-case letters, digits and hyphens" in said["molds.D"]
    assert "found nothing" in said["pieces.bowl.demold"]
    assert "U+0007" in said["pieces.bowl.name"]


def test_the_error_is_one_of_ours_and_its_text_is_all_the_sentences() -> None:
    with pytest.raises(FloorboardError) as refused:
        read_shop(BAD, "my.toml")
    assert str(refused.value).count("\n") == len(BAD_PLACES) - 1


@pytest.mark.parametrize(
    ("old", "new", "line_text"),
    [
        ('name = "My shop"', 'name = "My shop', 'name = "My shop'),
        ("[pieces.bowl]", "[pieces.bowl", "[pieces.bowl"),
        ('ready = "4 min" ', "ready = 4 min ", "ready = 4 min"),
        ('demold = "3 min"', 'demold "3 min"', 'demold "3 min"'),
        ("parts = 7 },", "parts = 7 }", '{ material = "plaster", parts'),
        ("parts = 10 },", "parts = ten },", "parts = ten"),
        ("parts = [\n", "parts = [[\n", "parts = [["),
        ("parts = 10 },\n]", "parts = 10 },\n", "parts = ["),
        ("[molds]\n", "[molds]\n[molds]\n", "[molds]\n[molds]"),
        ("bowl-2 = {", "bowl-1 = {", "bowl-1 = { number = 2"),
        ('name = "Retarder"', "name = 'Retarder\"", "name = 'Retarder"),
        ('name = "Retarder"', 'name = """Retarder', 'name = """Retarder'),
    ],
)
def test_what_is_not_toml_is_told_with_its_line_and_nothing_that_only_follows_from_it(
    old, new, line_text
) -> None:
    text = FIRST.replace(old, new, 1)
    line = text[: text.index(line_text) + len(line_text)].count("\n") + 1
    [problem] = problems_of(text)
    assert problem.line == line
    assert problem.expected.startswith("TOML")


def test_mistakes_of_toml_and_of_the_shop_come_together() -> None:
    text = (
        FIRST.replace('demold = "3 min"', "demold = 3 min")
        .replace('zone = "Europe/London"', 'zone = "Europe/Londn"')
        .replace('number = 2, piece = "bowl"', 'number = 1, piece = "bowl"')
        .replace("parts = 10", "parts = ten")
    )
    fields = [problem.field for problem in problems_of(text)]
    assert fields == ["shop.zone", "", "", "molds.bowl-2.number"]


def test_a_mistake_in_one_mix_does_not_make_its_name_unknown() -> None:
    text = FIRST.replace('weigh = "2 min" ', 'weigh = "2 minutes" ')
    assert [problem.field for problem in problems_of(text)] == ["mixes.plaster.weigh"]


def test_lines_are_found_in_every_way_toml_writes_a_key() -> None:
    text = FIRST.replace(
        '[people.me]\nname = "Me"\n', '[people."me"]\nname = "Me"\n"hourly" = "x" # odd\n'
    ).replace("[molds]\n", "[molds]\nbowl-3.number = 3\nbowl-3.piece = 5\n'bowl-4'.number = 0\n")
    lines = text.split("\n")
    for problem in problems_of(text):
        assert lines[problem.line - 1].split("=")[0].strip().strip("'\"") in {
            "hourly",
            "bowl-3.piece",
            "bowl-4'.number",
        }


def test_line_ends_of_windows_and_a_byte_order_mark_are_no_mistake() -> None:
    shop = read_shop(FIRST, "first.toml")
    assert read_shop("\ufeff" + FIRST.replace("\n", "\r\n"), "first.toml") == shop
    windows = FIRST.replace('form = "liquid"', 'form = "water"').replace("\n", "\r\n")
    [problem] = problems_of(windows)
    assert windows.split("\r\n")[problem.line - 1] == 'form = "water"'


def many_molds(count: int) -> str:
    rows = "\n".join(f'm{i}={{number=1,piece="bowl"}}' for i in range(count))
    return f"{FIRST.split('[molds]')[0]}[molds]\n{rows}\n"


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("x = 1\n" * (LARGEST_BYTES // 6 + 1), "a file of 2.00 MB"),
        (many_molds(100_000), "MB"),
        (many_molds(10_000), "10000 entries"),
        ("a = " + "[" * 100_000 + "]" * 100_000, "nested deeper"),
        ("a = " + "{ a = " * 50_000 + "1" + "}" * 50_000, "nested deeper"),
        (".".join(["a"] * 50_000) + " = 1", "nested deeper"),
        ("[" + ".".join(['"a"'] * 50_000) + "]", "nested deeper"),
        ("a = " + "9" * 100_000, "a number of 100000 digits"),
    ],
    ids=["huge", "molds", "fewer molds", "arrays", "tables", "keys", "heading", "number"],
)
def test_a_trap_is_refused_in_one_sentence(text, found) -> None:
    [problem] = problems_of(text)
    assert found in problem.found


@pytest.mark.parametrize(
    "text",
    ["", "\0", "=\n" * 1000, '"\\' * 5000, "a" * 50_000, "[a]\n" * 2000, "\t" * 9999, "a = [\n" * 15,
     'a = """' + "x\n" * 5000, "[[a]]\n" * 3000, "a = '\ud800'", "[shop]\n" + "x.y = 1\n" * 99],
)  # fmt: skip
def test_any_other_text_is_refused_in_sentences_too(text) -> None:
    assert 1 <= len(problems_of(text)) <= MOST_PROBLEMS + 1


@given(
    st.lists(
        st.tuples(
            st.integers(0, len(FIRST) - 1),
            st.integers(0, 5),
            st.sampled_from([*"[]{}\"'=\n#,.-\\", "0", "nan", '"0 g"', "[[a]]", '"""', "\u202e"]),
        ),
        min_size=1,
        max_size=4,
    )
)
@settings(max_examples=60, deadline=None)
def test_a_damaged_file_is_read_or_refused_in_sentences_with_lines_that_are_in_it(damage) -> None:
    text = FIRST
    for place, length, put in damage:
        text = text[:place] + put + text[place + length :]
    problems: tuple[Problem, ...] = ()
    try:
        shop = read_shop(text, "my.toml")
    except ShopFileError as error:
        problems = error.problems
    else:
        assert findings(shop) == []
    for problem in problems:
        assert 1 <= problem.line <= text.count("\n") + 1
        assert "\n" not in problem.sentence


def test_of_very_many_mistakes_the_first_are_told_and_that_there_are_more() -> None:
    problems = problems_of(many_molds(1500))
    assert len(problems) == MOST_PROBLEMS + 1
    assert "further mistakes" in problems[-1].found


def test_a_file_on_disk_is_read_and_one_that_is_no_text_or_too_large_refused(tmp_path) -> None:
    assert read_shop_file(seed_file("first.toml")) == read_shop(FIRST, "first.toml")
    path = tmp_path / "latin.toml"
    path.write_bytes(b'[shop]\nname = "Caf\xe9"\n')
    with pytest.raises(ShopFileError) as refused:
        read_shop_file(path)
    [problem] = refused.value.problems
    assert (problem.file, problem.line, problem.expected) == ("latin.toml", 2, "text in UTF-8")
    path.write_bytes(b"#" * (LARGEST_BYTES + 1))
    with pytest.raises(ShopFileError, match="at most 2 MB"):
        read_shop_file(path)


def test_places_in_lists_are_counted_from_one() -> None:
    assert field_text(("pieces", "bowl", "layers", 0, "mix")) == "pieces.bowl.layers[1].mix"
    assert field_text(()) == ""
    assert len(field_text(("molds", "x" * 1000))) < 100
