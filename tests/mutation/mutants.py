"""Small wrong changes to one source file, made in its syntax tree: what `sample.py` holds the tests against."""

from __future__ import annotations

import ast
import copy
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

COMPARED: dict[type[ast.cmpop], tuple[type[ast.cmpop], ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
}
RECKONED: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub,
    ast.Sub: ast.Add,
    ast.Mult: ast.Div,
    ast.Div: ast.Mult,
    ast.FloorDiv: ast.Div,
    ast.Mod: ast.FloorDiv,
    ast.Pow: ast.Mult,
    ast.BitOr: ast.BitAnd,
    ast.BitAnd: ast.BitOr,
}
NAMES = {"min": "max", "max": "min", "any": "all", "all": "any", "floor": "ceil", "ceil": "floor"}
HIDDEN = ("annotation", "returns", "decorator_list", "bases")
"""Fields in which a change shows nothing: mypy checks the types, and decorators reckon nothing."""

HELD = ("body", "orelse", "handlers", "finalbody", "cases")
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


@dataclass(frozen=True, slots=True, kw_only=True)
class Mutant:
    """One change: the `change`-th of the node at `place` in the walk of `path`, on these lines of the source."""

    path: str
    place: int
    change: int
    line: int
    end: int
    function: str
    first: int
    """Line on which the outermost function begins, decorators included; 0 outside a function."""
    before: str
    after: str

    @property
    def key(self) -> tuple[str, str, str, str]:
        """What names the change while lines come and go around it."""
        return (self.path, self.function, self.before, self.after)


@dataclass(frozen=True, slots=True)
class _Spot:
    node: ast.AST
    place: int
    statement: ast.stmt
    function: str
    first: int


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


def places_of(path: Path) -> list[tuple[int, int]]:
    """Where each change of one file is (place in the walk, number of the change), in the order of the walk."""
    return [(spot.place, number) for spot in _spots(_tree(path)) for number, _ in enumerate(_changes(spot.node))]


def mutant_at(top: Path, path: Path, place: int, change: int) -> Mutant | None:
    """One change with its words; None where it changes nothing (two equal arguments swapped)."""
    spot = next(spot for spot in _spots(_tree(path)) if spot.place == place)
    before, after = _texts(spot, list(_changes(spot.node))[change])
    if before == after:
        return None
    return Mutant(
        path=path.relative_to(top).as_posix(),
        place=place,
        change=change,
        line=spot.statement.lineno,
        end=_last_line(spot.statement),
        function=spot.function,
        first=spot.first,
        before=before,
        after=after,
    )


def mutated(top: Path, mutant: Mutant) -> ast.Module:
    """The whole tree with the one change in it, ready to compile."""
    tree = copy.deepcopy(_tree(top / mutant.path))
    spot = next(spot for spot in _spots(tree) if spot.place == mutant.place)
    new = list(_changes(spot.node))[mutant.change]
    _Put(spot.node, new).visit(tree)
    return ast.fix_missing_locations(tree)


class _Put(ast.NodeTransformer):
    def __init__(self, old: ast.AST, new: ast.AST) -> None:
        self.old, self.new = old, new

    def visit(self, node: ast.AST) -> Any:
        if node is self.old:
            return ast.copy_location(self.new, node)
        return super().visit(node)


def _spots(tree: ast.Module) -> Iterator[_Spot]:
    place = 0

    def walk(node: ast.AST, statement: ast.stmt | None, function: str, first: int) -> Iterator[_Spot]:
        nonlocal place
        place += 1
        if isinstance(node, ast.stmt):
            statement = node
        if _is_idle(node):
            return
        if statement is not None:
            yield _Spot(node, place, statement, function, first)
        for name, value in ast.iter_fields(node):
            if name in HIDDEN:
                continue
            inner, begun = function, first
            if isinstance(node, (*FUNCTIONS, ast.ClassDef)) and name == "body":
                inner = f"{function}.{node.name}" if function else node.name
                if isinstance(node, FUNCTIONS) and not first:
                    begun = min([node.lineno, *(one.lineno for one in node.decorator_list)])
            for child in value if isinstance(value, list) else [value]:
                if isinstance(child, ast.AST):
                    yield from walk(child, statement, inner, begun)

    yield from walk(tree, None, "", 0)


def _is_idle(node: ast.AST) -> bool:
    """Nothing in here is worth changing: what imports, speaks, or only tells mypy a type."""
    match node:
        case ast.Import() | ast.ImportFrom() | ast.Assert() | ast.Pass():
            return True
        case ast.If(test=ast.Name(id="TYPE_CHECKING")):
            return True
        case ast.Expr(value=ast.Constant(value=str())):
            return True
        case ast.Assign(targets=[ast.Name(id=name)]) if name.startswith("__"):
            return True
        case ast.Call(func=ast.Name(id="cast" | "TypeVar")):
            return True
        case ast.Assign(targets=[ast.Name(id=name)], value=ast.BinOp(op=ast.BitOr())) if not name.isupper():
            return name[0].isupper()
    return False


def _last_line(head: ast.stmt) -> int:
    """The last line of a statement without the statements in it."""
    last = head.lineno
    for name, value in ast.iter_fields(head):
        if name in (*HELD, *HIDDEN):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                last = max([last, *(one.lineno for one in ast.walk(child) if hasattr(one, "lineno"))])
    return last


def _texts(spot: _Spot, new: ast.AST) -> tuple[str, str]:
    twin = copy.deepcopy(spot.statement)
    if spot.node is spot.statement:
        return _said(twin), _said(copy.deepcopy(new))
    number = next(number for number, one in enumerate(ast.walk(spot.statement)) if one is spot.node)
    old = next(one for at, one in enumerate(ast.walk(twin)) if at == number)
    return _said(copy.deepcopy(twin)), _said(_Put(old, new).visit(twin))


def _said(node: ast.AST) -> str:
    """The head of a statement as text, on one line."""
    for name in (*HELD, "decorator_list"):
        if isinstance(getattr(node, name, None), list):
            setattr(node, name, [ast.Expr(ast.Constant(...))] if name == "body" else [])
    return " ".join(ast.unparse(ast.fix_missing_locations(node)).split())


def _changes(node: ast.AST) -> Iterator[ast.AST]:
    match node:
        case ast.Compare(ops=ops):
            for at, op in enumerate(ops):
                for other in COMPARED[type(op)]:
                    yield ast.Compare(node.left, [*ops[:at], other(), *ops[at + 1 :]], node.comparators)
        case ast.BoolOp(op=op, values=values):
            yield ast.BoolOp(ast.And() if isinstance(op, ast.Or) else ast.Or(), values)
            for at in range(len(values)):
                rest = values[:at] + values[at + 1 :]
                yield rest[0] if len(rest) == 1 else ast.BoolOp(op, rest)
        case ast.UnaryOp(op=ast.Not() | ast.USub(), operand=operand):
            yield operand
        case ast.BinOp(op=op) if type(op) in RECKONED:
            yield ast.BinOp(node.left, RECKONED[type(op)](), node.right)
        case ast.Constant(value=bool(value)):
            yield ast.Constant(not value)
        case ast.Constant(value=int(value)):
            yield ast.Constant(value + 1)
            yield ast.Constant(value - 1)
        case ast.Constant(value=float(value)):
            yield ast.Constant(value * 1.1 if value else 1.0)
        case ast.IfExp() if not isinstance(node.test, ast.UnaryOp | ast.Compare):
            yield ast.IfExp(ast.UnaryOp(ast.Not(), node.test), node.body, node.orelse)
        case ast.comprehension(ifs=[_, *_] as ifs):
            for at in range(len(ifs)):
                yield ast.comprehension(node.target, node.iter, ifs[:at] + ifs[at + 1 :], node.is_async)
        case ast.Call():
            yield from _calls(node)
        case ast.stmt():
            yield from _statements(node)


def _statements(node: ast.stmt) -> Iterator[ast.AST]:
    match node:
        case ast.AugAssign(op=op):
            yield ast.Pass()
            if type(op) in RECKONED:
                yield ast.AugAssign(node.target, RECKONED[type(op)](), node.value)
        case ast.Return(value=ast.AST() as value):
            if not (isinstance(value, ast.Constant) and value.value is None):
                yield ast.Return(ast.Constant(None))
        case ast.If() | ast.While() if not isinstance(node.test, ast.UnaryOp | ast.Compare):
            new = copy.copy(node)
            new.test = ast.UnaryOp(ast.Not(), node.test)
            yield new
        case ast.Expr(value=ast.Call() | ast.Yield() | ast.YieldFrom()) | ast.Raise():
            yield ast.Pass()
        case ast.Assign(targets=[ast.Attribute() | ast.Subscript()]):
            yield ast.Pass()
        case ast.Continue():
            yield ast.Break()
        case ast.Break():
            yield ast.Continue()


def _calls(node: ast.Call) -> Iterator[ast.AST]:
    match node.func:
        case ast.Name(id=name) if name in NAMES:
            yield ast.Call(ast.Name(NAMES[name], ast.Load()), node.args, node.keywords)
            return
        case ast.Name(id="isinstance" | "getattr"):
            return
        case ast.Name(id="abs" | "sorted" | "round" | "reversed") if node.args:
            yield node.args[0]
        case ast.Attribute(value=owner, attr=name) if name in NAMES:
            yield ast.Call(ast.Attribute(owner, NAMES[name], ast.Load()), node.args, node.keywords)
    if not any(isinstance(one, ast.Starred) for one in node.args):
        for at in range(len(node.args) - 1):
            swapped = [*node.args[:at], node.args[at + 1], node.args[at], *node.args[at + 2 :]]
            yield ast.Call(node.func, swapped, node.keywords)
