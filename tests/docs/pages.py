"""Makes the generated pages and the output shown in documents. Used by the tests, which compare or rewrite."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import click
from click.testing import CliRunner

from pratique.cli.main import COMMANDS, cli
from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.room.describe import sections
from pratique.sheets.keys import is_needed

TOP = Path(__file__).parents[2]
PART = r"(?:, (?:from|until) \"[^\"\n]+\")*"
"""Which part of an output is shown: from a line that begins so, until before one that does."""

SHOWN = re.compile(
    rf"(?P<head><!-- shown at (?P<width>\d+)(?P<part>{PART}): (?P<command>[^\n]+) -->\n```text\n)"
    r"(?P<output>.*?)(?P<foot>```\n)",
    re.S,
)


def run(command: str, width: int) -> str:
    """What a command prints at a width, as one reads it in a terminal: problems too where they are the answer."""
    words = shlex.split(command)
    assert words[0] == "pratique", command
    result = CliRunner().invoke(cli, words[1:], env={"COLUMNS": str(width), "NO_COLOR": "1"})
    assert result.exit_code in (0, 1), result.output
    assert result.exception is None or isinstance(result.exception, SystemExit), "a bug leaves no page to show"
    return result.output if result.exit_code else result.stdout


def cut(output: str, part: str) -> str:
    """The part that is shown, with `…` for what is left out."""
    lines = output.splitlines()
    first, last = 0, len(lines)
    for word, start in re.findall(r', (from|until) "([^"]+)"', part):
        found = [number for number, line in enumerate(lines) if line.startswith(start) and number >= first]
        assert found, f"no line begins with `{start}`"
        first, last = (found[0], last) if word == "from" else (first, found[0])
    shown = "\n".join(lines[first:last]).rstrip() + "\n"
    return ("…\n" if first else "") + shown + ("…\n" if last < len(lines) else "")


def with_output(text: str) -> str:
    """The document with every shown output made anew."""

    def fresh(found: re.Match[str]) -> str:
        return found["head"] + cut(run(found["command"], int(found["width"])), found["part"]) + found["foot"]

    return SHOWN.sub(fresh, text)


def commands_page() -> str:
    lines = [
        "# Commands",
        "",
        "Made from `--help` by the tests; do not edit. Exit status: 0 answered, 1 errors in the file or a",
        "refusal, 2 a wrong command line, 3 a bug in the program.",
        "",
    ]
    for name, summary in COMMANDS.items():
        command = cli.get_command(click.Context(cli), name)
        assert command is not None
        context = click.Context(
            command,
            info_name=f"pratique {name}",
            max_content_width=100,
            terminal_width=100,
            help_option_names=["-h", "--help"],  # as the group gives it; click keeps the first it is asked for
        )
        lines += [f"## pratique {name}", "", summary, "", "```text", command.get_help(context), "```", ""]
    return "\n".join(lines)


def codes_page() -> str:
    lines = [
        "# Codes",
        "",
        "Made from the pages behind `pratique why CODE`; do not edit. A code never changes its meaning. The letter is",
        "the subject: F file, U unit, K knowledge, D dose, S schedule, W water, X exposure, L log.",
        "",
        "| code | severity | what it says |",
        "| --- | --- | --- |",
    ]
    rows = [(page.code, page.severity, page.title) for page in store.codes().values()]
    for rule in store.interlocks():
        rows.append(
            (rule.code, "error" if rule.verdict == "block" else "warning", rule.message.replace(" ({subject})", ""))
        )
    lines += [f"| {code} | {severity} | {title} |" for code, severity, title in sorted(rows)]
    return "\n".join([*lines, ""])


def treatments_page() -> str:
    lines = [
        "# Treatments",
        "",
        "Made from the knowledge files; do not edit. Codes: V read in the source, Q quoted at second hand, C common",
        "practice without a published source, M from memory, D derived here. `pratique why ID` has the whole of each.",
        "",
        "| id | kind | level in use | band | who says so |",
        "| --- | --- | --- | --- | --- |",
    ]
    for id_ in store.treatment_ids():
        treatment = store.treatment(id_)
        for number in treatment.numbers.get("target", ())[:2]:
            band = f"{number.low:g} to {number.high:g}" if number.low != number.high else "—"
            level = f"{number.value:g} {number.unit}{_limits(number)}"
            says = f"{number.source}, {number.where} ({number.confidence})"
            lines.append(f"| {id_} | {treatment.kind} | {level} | {band} | {says} |")
        if "target" not in treatment.numbers:
            who = f"{treatment.decided_by} decides" if treatment.decided_by else "—"
            lines.append(f"| {id_} | {treatment.kind} | {who} | — | — |")
    return "\n".join([*lines, ""])


def _limits(number: Sourced) -> str:
    parts = []
    if number.from_ is not None:
        parts.append(f"from {number.from_:g}")
    if number.below is not None:
        parts.append(f"below {number.below:g}")
    return f" ({' '.join(parts)} degC)" if parts else ""


def pathogens_page() -> str:
    lines = [
        "# Pathogens",
        "",
        "Made from the knowledge files; do not edit. Codes as on the page of treatments. `pratique why ID` has every "
        "figure of",
        "each, `pratique fallow TANK` reckons with them. No date for a water without fish stands where an agent lives "
        "without",
        "fish, or where nobody has published one.",
        "",
        "| id | called | how fast it kills | water without fish, in use | signs that are typical |",
        "| --- | --- | --- | --- | --- |",
    ]
    titles = store.signs()
    for id_ in store.pathogen_ids():
        pathogen = store.pathogen(id_)
        fallow = "; ".join(_days(number) for number in pathogen.numbers.get("fallow", ())) or "no date"
        typical = ", ".join(titles[sign].title for sign, known in pathogen.signs.items() if known.weight == "typical")
        names = ", ".join(pathogen.names[:3])
        lines.append(f"| {id_} | {names} | {pathogen.kills_within or '—'} | {fallow} | {typical or '—'} |")
    return "\n".join([*lines, ""])


def _days(number: Sourced) -> str:
    span = f"{number.low / 24:g} to {number.high / 24:g} d" if number.low != number.high else f"{number.value / 24:g} d"
    return f"{span} ({number.source}, {number.confidence})"


def sources_page() -> str:
    lines = [
        "# Sources",
        "",
        "Made from the knowledge files; do not edit. Depth says how much of a source was read.",
        "",
        "| key | citation | depth | address |",
        "| --- | --- | --- | --- |",
    ]
    lines += [f"| {s.key} | {s.citation} | {s.depth} | {s.address or '—'} |" for s in store.sources().values()]
    return "\n".join([*lines, ""])


def room_file_page() -> str:
    lines = [
        "# The room file",
        "",
        "Made from the descriptions of the keys; do not edit. `pratique why KEY` shows one key at every place where it",
        "stands; `pratique start` writes a file to begin from. Every value is read as it stands, and every number has",
        "its unit. NAME is a name you give; `-` begins an entry of a list.",
        "",
    ]
    for places, title, rows in sections():
        lines += [f"## {title[0].upper()}{title[1:]}", ""]
        if places[0]:
            shown = (" ".join(step if step == "-" else f"{step}:" for step in place) for place in places)
            lines += ["Below " + " or ".join(f"`{place}`" for place in shown) + ":", ""]
        lines += ["| key | what it means | how it is written | needed | example |", f"|{' --- |' * 5}"]
        for row in rows:
            cells = (f"`{row.key}`", row.meaning, row.written, is_needed(row), f"`{row.example}`")
            lines.append(f"| {' | '.join(cells)} |")
        lines.append("")
    return "\n".join(lines)


GENERATED = {
    "docs/reference/commands.md": commands_page,
    "docs/reference/codes.md": codes_page,
    "docs/reference/treatments.md": treatments_page,
    "docs/reference/pathogens.md": pathogens_page,
    "docs/reference/sources.md": sources_page,
    "docs/reference/room-file.md": room_file_page,
}
