"""Every key of the room file in words: what it means, how it is written, what holds without it, an example."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from pratique.room.shape import ENTRY, NAME, Home, every_key, keys_of, model_within
from pratique.room.times import Hours
from pratique.room.written import Form


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyRow:
    """One key as it stands in one or more places. `default` is empty where nothing holds without it.

    `owners` are whose key it is; `needed` and `others` the keys below it.
    """

    key: str
    owners: tuple[str, ...]
    steps: tuple[str, ...]
    meaning: str
    written: str
    required: bool
    default: str
    example: str
    needed: tuple[str, ...]
    others: tuple[str, ...]

    @property
    def snippet(self) -> tuple[str, ...]:
        """The example as lines of a room file, below the keys it stands under."""
        lines, depth, lead = [], 0, ""
        for step in (*self.steps, self.key):
            if step == ENTRY:
                lead = "- "
                continue
            lines.append(f"{' ' * depth}{lead}{step}:")
            depth, lead = depth + 2 + len(lead), ""
        return (*lines[:-1], f"{lines[-1]} {self.example}")


def describe_key(name: str) -> tuple[KeyRow, ...]:
    """Every place where a key stands; `volume.fill` asks for those below that key only. Alike ones are one row."""
    *above, key = name.lower().split(".")
    homes = [home for home in every_key() if home.key == key and _is_below(home, above)]
    return _merged(map(row_of, homes))


def key_names() -> tuple[str, ...]:
    return tuple(dict.fromkeys(home.key for home in every_key()))


def owner_title(owner: type[BaseModel]) -> str:
    """Whose keys they are, such as `a tank`."""
    return str(owner.model_config.get("title", ""))


def _is_below(home: Home, above: list[str]) -> bool:
    keys = [step for step in home.steps if step not in (NAME, ENTRY)]
    return keys[len(keys) - len(above) :] == above if above else True


def _merged(rows: Iterable[KeyRow]) -> tuple[KeyRow, ...]:
    """Rows that say the same of different owners as one, at the last of its places."""
    found: dict[tuple[object, ...], KeyRow] = {}
    for row in rows:
        same = (row.meaning, row.written, row.required, row.default, row.example)
        owners = (*found[same].owners, *row.owners) if same in found else row.owners
        found[same] = replace(row, owners=tuple(dict.fromkeys(owners)))
    return tuple(found.values())


def row_of(home: Home) -> KeyRow:
    field, below = home.field, model_within(home.field.annotation)
    keys = keys_of(below) if below is not None else {}
    return KeyRow(
        key=home.key,
        owners=(owner_title(home.owner),),
        steps=home.steps,
        meaning=field.description or "",
        written=form_of(field),
        required=field.is_required(),
        default=_default(field),
        example=example_of(field),
        needed=tuple(key for key, inner in keys.items() if inner.is_required()),
        others=tuple(key for key, inner in keys.items() if not inner.is_required()),
    )


def form_of(field: FieldInfo) -> str:
    """How the value of a key is written, in words."""
    form = _form_in(field.metadata)
    return form.words if form is not None else _form_of(field.annotation).words


def example_of(field: FieldInfo) -> str:
    """What may stand after the key, on its line."""
    if field.examples:
        return str(field.examples[0])
    form = _form_in(field.metadata)
    return form.example if form is not None else _form_of(field.annotation).example


def _form_in(metadata: Iterable[object]) -> Form | None:
    return next((part for part in metadata if isinstance(part, Form)), None)


def _form_of(annotation: Any) -> Form:
    """How a value of this type is written, by what the type is made of."""
    origin, parts = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return _form_in(parts[1:]) or _form_of(parts[0])
    if origin in (Union, UnionType):
        return _form_of(next(part for part in parts if part is not NoneType))
    if origin is Literal:
        words = [f"`{word}`" for word in parts]
        return Form(f"{', '.join(words[:-1])} or {words[-1]}", str(parts[0]))
    if origin is dict:
        inner = _form_of(parts[1])
        return Form(f"names of your own, each with {inner.words}", f"{{{NAME}: {inner.example}}}")
    if origin is tuple:
        inner = _form_of(parts[0])
        if model_within(parts[0]) is not None:
            return Form("a list, each entry begun with `- `", f"[{inner.example}]")
        return Form(f"one or more, commas between them: {inner.words}", inner.example)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return Form("keys below it", _example_of_model(annotation))
    return Form("text", "text")


def _example_of_model(model: type[BaseModel]) -> str:
    keys = keys_of(model)
    shown = [key for key, field in keys.items() if field.is_required()] or list(keys)[:1]
    return "{" + ", ".join(f"{key}: {_inside_braces(example_of(keys[key]))}" for key in shown) + "}"


def _inside_braces(example: str) -> str:
    """There a comma ends a value, unless it is quoted."""
    return f'"{example}"' if "," in example and example[0] not in "{[" else example


def _default(field: FieldInfo) -> str:
    value = field.default
    if field.is_required() or value is None or isinstance(value, BaseModel):
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (tuple, dict)):
        return ", ".join(entry.text for entry in value if isinstance(entry, Hours))
    return str(value)


def sections() -> Iterator[tuple[tuple[tuple[str, ...], ...], str, tuple[KeyRow, ...]]]:
    """For the reference: the places of each kind of entry, whose keys they are, and its keys."""
    rows: dict[type[BaseModel], list[KeyRow]] = {}
    places: dict[type[BaseModel], dict[tuple[str, ...], None]] = {}
    for home in every_key():
        first = not places.get(home.owner) or home.steps in list(places[home.owner])[:1]
        places.setdefault(home.owner, {})[home.steps] = None
        if first:
            rows.setdefault(home.owner, []).append(row_of(home))
    for owner, found in rows.items():
        yield tuple(places[owner]), owner_title(owner), tuple(found)
