"""The tree of a condition against the language's own evaluator: what it means does not change on the way."""

from __future__ import annotations

from pathlib import Path

import cel
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tappetry.knowledge.audit_subject import Subject, conditions
from tappetry.knowledge.syntax import (
    Call,
    Items,
    Literal,
    Name,
    NotInGrammar,
    Operation,
    parse,
    show,
    walk,
)
from tappetry.services.shop import Shop, demo_folder

NUMBERS = st.sampled_from(["0.5", "1.0", "2.0", "3.0", "x.a", "x.b"])
TRUTHS = st.sampled_from(
    ["true", "false", "x.yes", "x.text == 'abc'", "x.text.startsWith('a')", "'b' in x.list"]
)


def numbers(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """Sums and products, with and without brackets."""
    sign = st.sampled_from(["+", "-", "*"])
    return st.one_of(
        st.builds("{} {} {}".format, inner, sign, inner),
        st.builds("({})".format, inner),
        st.builds("-({})".format, inner),
    )


def truths(inner: st.SearchStrategy[str]) -> st.SearchStrategy[str]:
    """Comparisons joined with and, or, not and a choice, with and without brackets."""
    number = st.recursive(NUMBERS, numbers, max_leaves=4)
    compared = st.builds(
        "{} {} {}".format, number, st.sampled_from(["<", "<=", ">", ">=", "==", "!="]), number
    )
    return st.one_of(
        compared,
        st.builds("{} {} {}".format, inner, st.sampled_from(["&&", "||"]), inner),
        st.builds("!({})".format, inner),
        st.builds("({})".format, inner),
        st.builds("{} ? ({}) : {}".format, compared, inner, inner),
    )


@given(st.recursive(TRUTHS, truths, max_leaves=8))
def test_a_tree_written_out_means_what_the_text_meant(text: str) -> None:
    """Brackets written everywhere give the value that the language gives without them."""
    roots = {"x": {"a": 1.5, "b": -2.0, "yes": True, "text": "abc", "list": ["a", "b"]}}
    assert cel.evaluate(show(parse(text)), roots) == cel.evaluate(text, roots)


@given(st.recursive(TRUTHS, truths, max_leaves=8))
def test_a_tree_written_out_is_the_same_tree(text: str) -> None:
    assert parse(show(parse(text))) == parse(text)


def test_operators_bind_as_in_the_language_definition() -> None:
    """Common Expression Language, language definition, table of operator precedence."""
    assert show(parse("!a && b || c == d + e * -f")) == "((!(a) && b) || (c == (d + (e * -(f)))))"
    assert show(parse("a - b - c")) == "((a - b) - c)"
    assert show(parse("a ? b : c ? d : e")) == "(a ? b : (c ? d : e))"
    assert show(parse("a in ['x', 'y'] && b")) == "((a in ['x', 'y']) && b)"


def test_nodes() -> None:
    assert parse("engine.cam_drive") == Name(("engine", "cam_drive"))
    assert parse("'it\\'s'") == Literal("it's")
    assert parse('"x"') == Literal("x")
    assert parse("2") == Literal(2.0)
    assert parse(".5") == Literal(0.5)
    assert parse("true") == Literal(True)
    assert parse("[1, 'a']") == Items((Literal(1.0), Literal("a")))
    assert parse("ceil(a)") == Call("ceil", None, (Name(("a",)),))
    assert parse("a.b.contains('c')") == Call("contains", Name(("a", "b")), (Literal("c"),))
    assert parse("-a") == Operation("-", (Name(("a",)),))
    assert [str(n) for n in walk(parse("a + b.c * has(d)")) if isinstance(n, Name)] == ["a", "b.c", "d"]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("a +", "'a value' is expected before 'the end'"),
        ("(a", "')' is expected before 'the end'"),
        ("a b", "'b' is not expected here"),
        ("a ? b", "':' is expected before 'the end'"),
        ("a ? b ? c : d : e", "':' is expected before '?'"),
        ("a # b", "'# b' cannot be read"),
        ("a['b']", "'[' is not expected here"),
        ("f(a).b", "a member 'b' of something that is no name"),
        ("+a", "'+' is not expected here"),
        ("!" * 41 + "a", "nested deeper than 40"),
        ("a" + " + a" * 201, "more than 200 operators"),
        ("(" * 41 + "a" + ")" * 41, "nested deeper than 40"),
    ],
)
def test_what_lies_outside_of_the_grammar(text: str, reason: str) -> None:
    with pytest.raises(NotInGrammar) as error:
        parse(text)
    assert str(error.value) == reason


def test_every_condition_of_the_demo_has_a_tree() -> None:
    shop = Shop(demo_folder())
    found, errors = conditions(Subject(Path(demo_folder()), shop.knowledge, (), {}))
    assert errors == []
    assert len(found) > 400
    for condition in found:
        assert parse(show(parse(condition.expression.text))) == parse(condition.expression.text)
