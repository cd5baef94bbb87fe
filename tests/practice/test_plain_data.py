"""Plain data: canonical text, digests, strict reading."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from musictheory_nb.practice.plain_data import MAX_DEPTH, canonical_json, check_plain, digest, strict_json, thawed

TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)
VALUES = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**17), 10**17)
    | st.floats(allow_nan=False, allow_infinity=False)
    | TEXT,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXT, inner, max_size=4),
    max_leaves=20,
)


@given(VALUES)
def test_what_python_writes_is_read_back(value):
    assert strict_json(json.dumps(value)) == value
    assert strict_json(json.dumps(value, ensure_ascii=False, indent=2)) == value
    assert strict_json(canonical_json(value)) == value
    check_plain(value)


@given(st.dictionaries(TEXT, VALUES, max_size=6))
def test_canonical_text_does_not_depend_on_the_order_of_names(value):
    backwards = dict(reversed(list(value.items())))
    assert canonical_json(value) == canonical_json(backwards)
    assert canonical_json(value).isascii()


def test_digest_is_the_published_sha256():
    """SHA-256 of the two bytes ``{}``: a well-known value (from memory; any sha256sum gives it)."""
    assert digest({}) == "sha256:44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "not JSON"),
        ("{", "not JSON"),
        ('{"a": 1,}', "not JSON"),
        ("{'a': 1}", "not JSON"),
        ("[1] [2]", "not JSON"),
        ("\ufeff[]", "not JSON"),
        ('"\t"', "not JSON"),
        ("NaN", "not a JSON value"),
        ("-Infinity", "not a JSON value"),
        ("[1e999]", "too large"),
        ("-1e999", "too large"),
        ("1234567890123456789", "19 digits"),
        ("-1234567890123456789", "19 digits"),
        ("9" * 5000, "5000 digits"),
        ('{"a": 1, "b": 2, "a": 1}', "'a' stands twice"),
        ('{"x": {"a": 1, "\\u0061": 1}}', "'a' stands twice"),
        ('"\\ud800"', "surrogate"),
        ('{"\\udfff": 1}', "surrogate"),
        ("[" * (MAX_DEPTH + 1) + "]" * (MAX_DEPTH + 1), "nested"),
        ('{"a":' * (MAX_DEPTH + 1) + "1" + "}" * (MAX_DEPTH + 1), "nested"),
        ("[" * 200_000 + "]" * 200_000, "nested"),
        ("[" * 200_000, "nested"),
    ],
    ids=lambda value: value[:24] if isinstance(value, str) else None,
)
def test_what_is_not_plain_json_is_refused_with_its_reason(text, why):
    with pytest.raises(ValueError, match=why):
        strict_json(text)


@pytest.mark.parametrize(
    "text",
    [
        '"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[[["',
        '["\\"[[[[[[[[[[[[[[[[[[[[[[[[[[[[[["]',
        '"\\ud83c\\udfb5"',
        "123456789012345678",
        "-123456789012345678",
    ],
)
def test_what_only_looks_strange_is_read(text):
    assert strict_json(text) == json.loads(text)


def test_a_long_object_with_a_name_twice_is_refused_at_once():
    """Many names before the doubled one must not cost the square of their number: 60,000 names took minutes so."""
    names = ",".join(f'"{n:05d}":0' for n in range(60_000))
    with pytest.raises(ValueError, match="'59999' stands twice"):
        strict_json("{" + names + ',"59999":0}')


@pytest.mark.parametrize("value", [math.nan, math.inf, [-math.inf], {"a": 10**18}, (1, 2), {1, 2}, b"x", object(), 1j])
def test_values_that_json_has_not_are_refused(value):
    with pytest.raises(ValueError, match=r"JSON value|digits"):
        check_plain(value)


def test_a_list_that_holds_itself_is_refused():
    inside: list = []
    inside.append(inside)
    with pytest.raises(ValueError, match="nested"):
        check_plain(inside)


def test_thawing_gives_lists_and_dicts_that_share_nothing():
    frozen = {"a": (1, [2, (3,)]), "b": {"c": "text"}}
    copy = thawed(frozen)
    assert copy == {"a": [1, [2, [3]]], "b": {"c": "text"}}
    copy["a"][1].append(4)
    assert frozen["a"][1] == [2, (3,)]
