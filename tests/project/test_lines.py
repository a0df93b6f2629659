"""Line numbers of keys."""

import string
import tomllib

import tomlkit
from hypothesis import given
from hypothesis import strategies as st

from overbend.project.lines import line_of, lines_of

TRICKY = '''# [not.a.table] = 1
a = 1
"b c" = "x = 2 # no"
multi = """
fake = 1
[fake]
""" # after
literal = \'\'\'
fake = 2\'\'\'
dates = 2026-01-02 07:32:00
list = [ # comment ]
  1, 2,
  [3, # three
   4],
  { x = 1, "y z" = [5,
     6] },
]

[ t . "u.v" ]
k.deep = { e = {} }
[[rows]]
n = "a \\" ] b"
[[rows.inner]]
m = 1
[[rows]]
[[rows.inner]]
[[rows.inner]]
m = ""
[rows.inner.side]
z = ''
'''

EXPECTED = {
    ("a",): 2,
    ("b c",): 3,
    ("multi",): 4,
    ("literal",): 8,
    ("dates",): 10,
    ("list",): 11,
    ("list", 0): 12,
    ("list", 1): 12,
    ("list", 2): 13,
    ("list", 2, 1): 14,
    ("list", 3, "x"): 15,
    ("list", 3, "y z", 0): 15,
    ("list", 3, "y z", 1): 16,
    ("t", "u.v"): 19,
    ("t", "u.v", "k", "deep"): 20,
    ("t", "u.v", "k", "deep", "e"): 20,
    ("rows", 0, "n"): 22,
    ("rows", 0, "inner", 0, "m"): 24,
    ("rows", 1, "inner", 0): 26,
    ("rows", 1, "inner", 1, "m"): 28,
    ("rows", 1, "inner", 1, "side", "z"): 30,
}


def test_tricky_text():
    tomllib.loads(TRICKY)
    places = lines_of(TRICKY)
    assert {place: places.get(place) for place in EXPECTED} == EXPECTED
    assert not any("fake" in place for place in places)


def test_windows_line_ends_count_the_same():
    places = lines_of(TRICKY.replace("\n", "\r\n"))
    assert {place: places.get(place) for place in EXPECTED} == EXPECTED


def test_nearest_table_stands_for_what_is_not_written():
    places = lines_of(TRICKY)
    assert line_of(places, ("rows", 0, "inner", 0, "missing", "far")) == 23
    assert line_of(places, ("nowhere",)) is None


LEAVES = st.one_of(
    st.integers(-9, 9), st.booleans(), st.text(string.printable, max_size=12), st.floats(-5, 5)
)
KEYS = st.text(string.ascii_letters, min_size=1, max_size=5)
VALUES = st.recursive(
    LEAVES,
    lambda inner: (
        st.dictionaries(KEYS, inner, min_size=1, max_size=4)
        | st.lists(st.dictionaries(KEYS, LEAVES, min_size=1, max_size=3), min_size=1, max_size=3)
        | st.lists(LEAVES, max_size=3)
    ),
    max_leaves=12,
)


def leaves(value, place=()):
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from leaves(inner, (*place, key))
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            yield from leaves(inner, (*place, i))
    else:
        yield place


@given(st.dictionaries(KEYS, VALUES, max_size=5))
def test_every_key_is_on_its_line(data):
    text = tomlkit.dumps(data)
    places = lines_of(text)
    lines = text.split("\n")
    for place in leaves(tomllib.loads(text)):
        key = next(step for step in reversed(place) if isinstance(step, str))
        assert key in lines[places[place] - 1]


@given(st.text(alphabet="[]{}\"'=.,# \n\\ab1", max_size=60))
def test_any_text_comes_to_an_end(text):
    assert all(line >= 1 for line in lines_of(text).values())
