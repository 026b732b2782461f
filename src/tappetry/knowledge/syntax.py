"""The tree of a condition, so that the audit can look at what it says without evaluating it.

The grammar is that of the Common Expression Language (language definition, section 'Syntax'), as far as
conditions of a shop use it: no maps, no indices, no bytes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache

#: Operators from the loosest to the tightest; operators on one line bind alike and read from the left.
LEVELS = (("||",), ("&&",), ("==", "!=", "<=", ">=", "<", ">", "in"), ("+", "-"), ("*", "/", "%"))
COMPARISONS = frozenset(LEVELS[2])
#: Methods that run over a list, with a name of their own for each item.
LOOPS = frozenset({"all", "exists", "exists_one", "filter", "map"})

#: A condition with more operators, or nested deeper, is not looked into: no person could read it either.
MAX_OPERATORS = 200
MAX_DEPTH = 40

_TOKEN = re.compile(
    r"""\s*(?:(?P<string>'(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")
        |(?P<number>\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+)
        |(?P<word>[A-Za-z_]\w*)
        |(?P<sign>\|\||&&|==|!=|<=|>=|[<>+\-*/%!?:.,()\[\]]))""",
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class Literal:
    """A number, text or truth that is written out."""

    value: bool | float | str


@dataclass(frozen=True, slots=True)
class Name:
    """A name with its members: ``engine.bore_mm`` is ('engine', 'bore_mm')."""

    path: tuple[str, ...]

    def __str__(self) -> str:
        """The name as it is written."""
        return ".".join(self.path)


@dataclass(frozen=True, slots=True)
class Items:
    """A list that is written out."""

    items: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Operation:
    """An operator with its operands; ``?`` has three, ``!`` and a leading ``-`` one."""

    sign: str
    operands: tuple[Node, ...]


@dataclass(frozen=True, slots=True)
class Call:
    """A function, or a method of ``target``, with what it is given."""

    function: str
    target: Node | None
    arguments: tuple[Node, ...]


Node = Literal | Name | Items | Operation | Call


class NotInGrammar(ValueError):
    """The text uses something that conditions of a shop do not use; the message says what and where."""


@lru_cache(maxsize=8192)
def parse(text: str) -> Node:
    """The tree of a condition.

    Raises
    ------
    NotInGrammar
        The text is not an expression of the grammar named above.
    """
    reader = _Reader(list(_tokens(text)))
    node = reader.choice()
    if reader.peek():
        raise NotInGrammar(f"{reader.peek()!r} is not expected here")
    return node


def walk(node: Node) -> Iterator[Node]:
    """The node and everything below it."""
    yield node
    for child in children(node):
        yield from walk(child)


def children(node: Node) -> tuple[Node, ...]:
    """What stands directly below a node."""
    match node:
        case Items(items):
            return items
        case Operation(_, operands):
            return operands
        case Call(_, target, arguments):
            return arguments if target is None else (target, *arguments)
    return ()


def show(node: Node) -> str:
    """The tree as text again, with every bracket written."""
    match node:
        case Literal(bool(value)):
            return "true" if value else "false"
        case Literal(value):
            return repr(value)
        case Name():
            return str(node)
        case Items(items):
            return f"[{', '.join(map(show, items))}]"
        case Operation("?", (condition, yes, no)):
            return f"({show(condition)} ? {show(yes)} : {show(no)})"
        case Operation(sign, (operand,)):
            return f"{sign}({show(operand)})"
        case Operation(sign, operands):
            return f"({f' {sign} '.join(map(show, operands))})"
        case Call(function, target, arguments):
            before = "" if target is None else f"{show(target)}."
            return f"{before}{function}({', '.join(map(show, arguments))})"


def _tokens(text: str) -> Iterator[str]:
    place = 0
    while text[place:].strip():
        found = _TOKEN.match(text, place)
        if found is None:
            raise NotInGrammar(f"{text[place:].strip()[:10]!r} cannot be read")
        yield found.group().strip()
        place = found.end()


class _Reader:
    """Reads one list of tokens, loosest operators first."""

    def __init__(self, tokens: list[str]) -> None:
        self.tokens = tokens
        self.place = 0
        self.operators = 0
        self.depth = 0

    def peek(self) -> str:
        return self.tokens[self.place] if self.place < len(self.tokens) else ""

    def take(self, wanted: str = "") -> str:
        token = self.peek()
        if not token or (wanted and token != wanted):
            raise NotInGrammar(f"{wanted or 'a value'!r} is expected before {token or 'the end'!r}")
        self.place += 1
        return token

    def operator(self) -> str:
        self.operators += 1
        if self.operators > MAX_OPERATORS:
            raise NotInGrammar(f"more than {MAX_OPERATORS} operators")
        return self.take()

    def nested(self, read: Callable[[], Node]) -> Node:
        self.depth += 1
        if self.depth > MAX_DEPTH:
            raise NotInGrammar(f"nested deeper than {MAX_DEPTH}")
        node = read()
        self.depth -= 1
        return node

    def choice(self) -> Node:
        condition = self.binary(0)
        if self.peek() != "?":
            return condition
        self.operator()
        yes = self.binary(0)
        self.take(":")
        return Operation("?", (condition, yes, self.nested(self.choice)))

    def binary(self, level: int) -> Node:
        if level == len(LEVELS):
            return self.unary()
        node = self.binary(level + 1)
        while self.peek() in LEVELS[level]:
            sign = self.operator()
            node = Operation(sign, (node, self.binary(level + 1)))
        return node

    def unary(self) -> Node:
        if self.peek() in {"!", "-"}:
            return Operation(self.operator(), (self.nested(self.unary),))
        node = self.primary()
        while self.peek() == ".":
            self.take(".")
            word = self.take()
            if self.peek() == "(":
                node = Call(word, node, self.items("(", ")"))
            elif isinstance(node, Name):
                node = Name((*node.path, word))
            else:
                raise NotInGrammar(f"a member {word!r} of something that is no name")
        return node

    def primary(self) -> Node:
        token = self.peek()
        if token == "(":
            self.take("(")
            node = self.nested(self.choice)
            self.take(")")
            return node
        if token == "[":
            return Items(self.items("[", "]"))
        self.take()
        if token[0] in "'\"":
            return Literal(re.sub(r"\\(.)", r"\1", token[1:-1]))
        if token[0].isdigit() or token[0] == ".":
            return Literal(float(token))
        if token in {"true", "false"}:
            return Literal(token == "true")
        if not re.fullmatch(r"[A-Za-z_]\w*", token):
            raise NotInGrammar(f"{token!r} is not expected here")
        return Call(token, None, self.items("(", ")")) if self.peek() == "(" else Name((token,))

    def items(self, opening: str, closing: str) -> tuple[Node, ...]:
        self.take(opening)
        found: list[Node] = []
        while self.peek() != closing:
            found.append(self.nested(self.choice))
            if self.peek() != closing:
                self.take(",")
        self.take(closing)
        return tuple(found)
