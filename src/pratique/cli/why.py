"""`pratique why`: the long page behind a code, a figure or a source."""

from __future__ import annotations

import sys

import click

from pratique.cli.output import Output, plain_option


@click.command("why")
@click.argument("word", nargs=-1, required=True)
@click.option("--json", "as_json", is_flag=True, help="One JSON object instead of a page.")
@plain_option
def command(word: tuple[str, ...], as_json: bool) -> None:
    """The long page behind WORD.

    WORD is a code (D404), an active (copper), a treatment, a figure (copper-ionic.target), an agent, a sign, a cause
    (low-oxygen), a circumstance (came, or came.hours), a regimen, a source, or a key of the room file (volume, or
    tanks.volume).
    """
    from pratique.sheets.why import near_words, why_sheet

    output, text = Output.wanted(), " ".join(word)
    output.check(as_json=as_json)
    sheet = why_sheet(text)
    if sheet is None:
        near = near_words(text)
        hint = (
            "did you mean " + " or ".join(f"`{name}`" for name in near) + "?"
            if near
            else "try a code such as D404, a treatment such as copper-ionic, a key of the room file such as volume"
        )
        raise click.BadParameter(f"nothing here is called `{text[:60]}`; {hint}", param_hint="WORD")
    if as_json:
        from pratique.export.json import sheet_json

        click.echo(sheet_json("why", sheet))
    else:
        from pratique.render.terminal import print_sheet

        print_sheet(sheet, plain=output.plain)
    sys.exit(0)
