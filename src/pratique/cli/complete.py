"""Names for the shell's completion: those of the room file, treatments, codes. Fast, and never in the way.

click asks these when the shell does (`docs/how-to/completion.md`). The room file is looked at as plain YAML, so that a
file with errors completes too; where nothing can be read there is nothing to offer.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pratique.letters import HIDDEN

if TYPE_CHECKING:
    import click
    from click.shell_completion import CompletionItem

Ask = Callable[["click.Context", "click.Parameter", str], "list[CompletionItem]"]


def tanks(ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Tanks of the room file, with their use."""
    found = _section(ctx, "tanks")
    return _offer(begun, {name: str(tank.get("use", "")) for name, tank in found.items() if isinstance(tank, dict)})


def batches(ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Batches of the room file, with their arrival."""
    found = _section(ctx, "batches")
    arrivals = {name: str(batch.get("arrives", "")) for name, batch in found.items() if isinstance(batch, dict)}
    return _offer(begun, arrivals)


def animals(ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Batches, animals by their name or species, and sets of gear."""
    room = _room(ctx)
    known = dict.fromkeys(_mapping(room, "batches"), "a batch")
    groups = _mapping(room, "batches").values()
    lists = [room.get("animals"), *(batch.get("animals") for batch in groups if isinstance(batch, dict))]
    for animal in (animal for entries in lists if isinstance(entries, list) for animal in entries):
        if isinstance(animal, dict):
            species, name = str(animal.get("species", "")), animal.get("name")
            known[str(name) if name else species] = species if name else ""
    known.update(dict.fromkeys(_mapping(room, "gear"), "a set of gear"))
    return _offer(begun, known)


def tanks_and_more(ctx: click.Context, param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Tanks first, then batches, animals and gear."""
    return [*tanks(ctx, param, begun), *animals(ctx, param, begun)]


def treatments(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Every treatment on file."""
    return _offer(begun, dict.fromkeys(_treatment_ids(), ""))


def dips(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Treatments that have a sheet of their own for a vessel."""
    words = ("-dip", "-bath", "disinfection", "neutralising", "drying")
    return _offer(begun, {id_: "" for id_ in _treatment_ids() if id_.endswith(words)})


def products(ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Bottles of the shelf, with what they hold."""
    found = _section(ctx, "shelf")
    return _offer(begun, {name: str(one.get("active", "")) for name, one in found.items() if isinstance(one, dict)})


def vessels(ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Vessels of the room file, with what they hold."""
    return _offer(begun, {name: str(volume) for name, volume in _section(ctx, "vessels").items()})


def words_of_why(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Codes with their titles, treatments, sources."""
    return _offer(begun, {**_codes(), **dict.fromkeys(_treatment_ids(), "a treatment")})


def words_of_log(ctx: click.Context, param: click.Parameter, begun: str) -> list[CompletionItem]:
    """First the kinds of entries, then the names of the room."""
    if not ctx.params.get("words"):
        from pratique.logbook.kinds import GRAMMAR

        return _offer(begun, dict.fromkeys((*GRAMMAR, "correct", "withdraw"), ""))
    found = {item.value: item for ask in (tanks, batches, animals, products) for item in ask(ctx, param, begun)}
    return [*found.values(), *treatments(ctx, param, begun)]


def _offer(begun: str, known: dict[str, str]) -> list[CompletionItem]:
    """Those that go on from what is typed. For bash a name with spaces comes in quotes; the other shells quote it.

    The file has not been judged yet: a name that steers the screen, or that no quotes hold, is not offered.
    """
    from click.shell_completion import CompletionItem

    in_bash = os.environ.get("_PRATIQUE_COMPLETE", "").startswith("bash")
    start = begun.lstrip("\"'").casefold()
    found = []
    for name, what in known.items():
        if name.casefold().startswith(start) and not HIDDEN.search(name) and not re.search(r"[\n\t]", name):
            value = _in_quotes(name) if in_bash else name
            if value:
                found.append(CompletionItem(value, help=HIDDEN.sub("", " ".join(what.split())) or None))
    return found


def _in_quotes(name: str) -> str:
    """The name as one word of bash that stands for itself: `$(…)` in it is never run. Empty where that cannot be."""
    if re.fullmatch(r"[\w.,:+-]+", name):
        return name
    if not re.search(r"[\"$`!\\]", name):
        return f'"{name}"'
    return f"'{name}'" if "'" not in name and "\\" not in name else ""


def _section(ctx: click.Context, key: str) -> dict[str, Any]:
    return _mapping(_room(ctx), key)


def _mapping(room: dict[str, Any], key: str) -> dict[str, Any]:
    found = room.get(key)
    return {str(name): value for name, value in found.items()} if isinstance(found, dict) else {}


def _room(ctx: click.Context) -> dict[str, Any]:
    from pratique.room.glance import glance

    return glance(Path(ctx.params.get("room_path") or os.environ.get("PRATIQUE_ROOM") or "fishroom.yaml"))


def _treatment_ids() -> Iterable[str]:
    from importlib import resources

    folder = resources.files("pratique.knowledge") / "data" / "treatments"
    return sorted(file.name.removesuffix(".yaml") for file in folder.iterdir() if file.name.endswith(".yaml"))


def _codes() -> dict[str, str]:
    """Code to title, by the look of the files that hold them: to read them whole takes too long between two keys."""
    from importlib import resources

    data = resources.files("pratique.knowledge") / "data"
    text = "\n".join((data / name).read_text("utf-8") for name in ("codes.yaml", "interlocks.yaml"))
    found = dict(re.findall(r"^- \{?code: (\w+)(?:\n  title: (.+))?", text, re.M))
    return {code: found[code].strip("\"'") for code in sorted(found)}


def signs(_ctx: click.Context, _param: click.Parameter, begun: str) -> list[CompletionItem]:
    """Signs of disease, in the words of `pratique signs`."""
    from importlib import resources

    text = (resources.files("pratique.knowledge") / "data" / "signs.yaml").read_text("utf-8")
    return _offer(begun, dict.fromkeys(re.findall(r"^- (?:\{)?id: ([\w-]+)", text, re.M), ""))


_OF_PARAMETER: dict[str, Ask] = {
    "tank": tanks, "batch": batches, "whom": animals, "treatment": treatments, "product": products, "vessel": vessels,
}  # fmt: skip
_OF_COMMAND: dict[tuple[str, str], Ask] = {
    ("dip", "treatment"): dips, ("why", "word"): words_of_why, ("log", "words"): words_of_log,
    ("signs", "words"): signs, ("trace", "what"): tanks_and_more,
}  # fmt: skip


def attach(name: str, command: click.Command) -> None:
    """Gives each parameter of a command the names it can hold, by what the parameter is called."""
    for parameter in command.params:
        ask = _OF_COMMAND.get((name, parameter.name or "")) or _OF_PARAMETER.get(parameter.name or "")
        if ask is not None:
            setattr(parameter, "shell_complete", _asked(ask, parameter))  # noqa: B010 - one object's own answer


def _asked(ask: Ask, parameter: click.Parameter) -> Callable[[click.Context, str], list[CompletionItem]]:
    return lambda ctx, begun: ask(ctx, parameter, begun)
