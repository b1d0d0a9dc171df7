"""Lines of keys against a writer that counts what it writes; tomllib says whether it wrote TOML."""

import json
import random
import tomllib
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from hardware.toml_lines import Place, key_lines

KEYS = st.text(st.sampled_from("ab_-1"), min_size=1, max_size=3) | st.text(
    st.sampled_from("a .#=[]\"'\\é"), max_size=3
)
SCALARS = (
    st.integers(-9, 9)
    | st.booleans()
    | st.text(st.sampled_from("ab ,]}#=[\"'\\\n"), max_size=6)
    | st.dates()
    | st.datetimes()
)
TABLES: st.SearchStrategy[dict[str, Any]] = st.recursive(
    st.dictionaries(KEYS, SCALARS | st.lists(SCALARS, max_size=3), max_size=3),
    lambda inner: st.dictionaries(
        KEYS,
        SCALARS | inner | st.lists(inner, min_size=1, max_size=2) | st.lists(SCALARS, max_size=2),
        max_size=3,
    ),
    max_leaves=8,
)


class Writer:
    """Writes a document in whatever style the dice choose, noting the line of every path."""

    def __init__(self, dice: random.Random) -> None:
        self.dice, self.text = dice, ""
        self.lines: dict[Place, int] = {(): 1}

    def add(self, text: str) -> None:
        self.text += text

    def note(self, place: Place) -> None:
        self.lines[place] = self.text.count("\n") + 1

    def fill(self) -> None:
        self.add(self.dice.choice(["", "", "\n", "# [no]\n", "  # a = 1\n \t\n"]))

    def key(self, key: str) -> str:
        bare = key.isascii() and key.replace("_", "a").replace("-", "a").isalnum()
        quoted = [json.dumps(key, ensure_ascii=False)]
        if "'" not in key:
            quoted.append(f"'{key}'")
        return self.dice.choice([*quoted, key] if bare else quoted)

    def document(self, table: dict[str, Any]) -> str:
        self.body(table, place=(), header="")
        return self.text

    def body(self, table: dict[str, Any], *, place: Place, header: str) -> None:
        later = []
        for key, value in table.items():
            mine = (*place, key)
            tabular = isinstance(value, dict) or (
                isinstance(value, list) and value and all(isinstance(v, dict) for v in value)
            )
            if tabular and self.dice.random() < 0.6:
                later.append((mine, value))
                continue
            self.fill()
            self.pair(mine, key, value, prefix="")
            self.add(self.dice.choice(["\n", " # tail = 2\n"]))
        for mine, value in later:
            self.fill()
            path = f"{header}.{self.key(str(mine[-1]))}" if header else self.key(str(mine[-1]))
            for number, one in enumerate(value if isinstance(value, list) else [value]):
                if isinstance(value, list):
                    if number == 0:
                        self.note(mine)
                    self.note((*mine, number))
                    self.add(f"[[ {path} ]]\n")
                    self.body(one, place=(*mine, number), header=path)
                else:
                    self.note(mine)
                    self.add(f"[{path}] # [x]\n")
                    self.body(one, place=mine, header=path)

    def pair(self, place: Place, key: str, value: Any, *, prefix: str) -> None:
        self.note(place)
        name = prefix + self.key(key)
        if isinstance(value, dict) and len(value) == 1 and self.dice.random() < 0.5:
            ((inner, below),) = value.items()
            self.pair((*place, inner), inner, below, prefix=name + self.dice.choice([".", " . "]))
            return
        self.add(name + self.dice.choice(["=", " = "]))
        self.value(place, value)

    def value(self, place: Place, value: Any) -> None:
        if isinstance(value, dict):
            self.add("{")
            for number, (key, below) in enumerate(value.items()):
                self.add(", " if number else " ")
                self.pair((*place, key), key, below, prefix="")
            self.add("}")
        elif isinstance(value, list):
            self.add("[")
            for number, below in enumerate(value):
                self.add(self.dice.choice(["", " ", "\n", " # ]\n\n"]))
                self.note((*place, number))
                self.value((*place, number), below)
                self.add(self.dice.choice([",", " ,", "\n,"]))
            self.add(self.dice.choice(["", "\n"]) + "]")
        elif isinstance(value, str):
            self.add(self.quoted(value))
        elif isinstance(value, bool):
            self.add(str(value).lower())
        else:
            self.add(str(value))

    def quoted(self, value: str) -> str:
        forms = [json.dumps(value, ensure_ascii=False)]
        if "'" not in value:
            forms.append(f"'''{value}'''")
            if "\n" not in value:
                forms.append(f"'{value}'")
        if '"' not in value:
            escaped = value.replace("\\", "\\\\")
            forms.append(f'"""\n{escaped}"""')
        return self.dice.choice(forms)


@given(table=TABLES, dice=st.randoms(use_true_random=False))
def test_every_key_has_the_line_on_which_it_was_written(
    table: dict[str, Any], dice: random.Random
) -> None:
    writer = Writer(dice)
    text = writer.document(table)
    parsed = tomllib.loads(text)
    assert places(parsed) == set(writer.lines)  # the writer wrote what it says
    assert key_lines(text) == writer.lines


def places(value: Any, place: Place = ()) -> set[Place]:
    below: list[tuple[str | int, Any]] = []
    if isinstance(value, dict):
        below = list(value.items())
    elif isinstance(value, list):
        below = list(enumerate(value))
    return {place}.union(*(places(one, (*place, key)) for key, one in below))


def test_a_header_counts_more_than_a_deeper_one_that_came_first() -> None:
    lines = key_lines("[a.b]\nx = 1\n\n[a]\ny = 2\n")
    assert (lines["a",], lines["a", "b"], lines["a", "y"]) == (4, 1, 5)


def test_a_quote_right_before_three_quotes_belongs_to_the_text() -> None:
    lines = key_lines("a = \"\"\"x\"\"\"\"\nb = '''y'''''\nc = 1\n")
    assert lines["c",] == 3
