"""`pratique water`: what is this water like, and how do I change it?"""

from __future__ import annotations

import click

from pratique.cli.session import Session, because_option, choose, shared_options

GOES_WITH = {
    "state": ("food", "ph", "temperature", "salinity"),
    "ammonia": ("as", "ph", "temperature", "salinity"),
    "nitrite": ("as", "temperature", "salinity"),
    "to": ("with", "ph", "temperature", "salinity"),
    "mix": ("temperature", "salinity"),
    "salt": ("temperature",),
    "bag": ("temperature", "salinity"),
}
"""Each question, `state` being none of the others, and the options that have a part in it."""


@click.command("water")
@click.argument("tank")
@click.option("--ammonia", metavar="LEVEL", help="Total ammonia of a test, such as '0.5 mg/L': what of it harms?")
@click.option("--nitrite", metavar="LEVEL", help="Nitrite of a test, such as '1 mg/L', judged as sea water.")
@click.option("--to", metavar="SALINITY", help="The dated steps to '12 g/kg' or '1.020 sg at 25 degC', from --at on.")
@click.option("--mix", metavar="WATER", help="What '20 L at 30 g/kg' or '20 L at 30 g/kg, 22 degC' makes of it.")
@click.option("--salt", metavar="WATER", help="Dry salt for a batch such as '60 L at 35 g/kg'.")
@click.option("--bag", metavar="SALINITY", help="Bring the empty tank to a bag, such as '1.019 sg at 24 degC'.")
@click.option("--as", "as", metavar="COUNT", help="How the test counts: N, NH3 or NH4; for nitrite N or NO2.")
@click.option("--ph", metavar="PH", help="Measured now, instead of what is on file.")
@click.option("--temperature", metavar="DEGREES", help="Measured now, such as '25 degC'.")
@click.option("--salinity", metavar="SALINITY", help="Measured now, such as '34 g/kg'.")
@click.option("--food", metavar="MASS", help="Dry food weighed out for a day, such as '2 g'.")
@click.option("--with", "with", metavar="WATER", help="What to change with: '40 g/kg', or '30 L at 40 g/kg' a day.")
@because_option
@click.option("--working", is_flag=True, help="The sum, step by step, with its sources.")
@shared_options
def command(
    tank: str,
    because: tuple[str, ...],
    working: bool,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
    **given: str | None,
) -> None:
    """What is the water of TANK like, and how do I change it?

    With no question: its state, and how fast it fouls where no filter lives in it. One question at a time.
    """
    from pratique.cli.water_questions import ANSWERS, Asked

    options = {name: text for name, text in given.items() if text is not None}
    question = _question(options)
    if because and question != "to":
        raise click.UsageError("--because has no part in this question; it goes with --to")
    session = Session("water", room_path, at_text, as_json, log_path)
    room = session.need_room("nothing was worked out")
    tank = choose(tank, room.tanks, "tank", "TANK")
    ANSWERS[question](Asked(session=session, tank=tank, options=options, because=because, working=working))


def _question(options: dict[str, str]) -> str:
    """The one thing that is asked; the end of the program where it is not one, or an option has no part in it."""
    asked = [name for name in GOES_WITH if name in options]
    if len(asked) > 1:
        both = " and ".join(f"--{name}" for name in asked)
        raise click.UsageError(f"{both} are two questions; ask one at a time")
    question = asked[0] if asked else "state"
    for name in options:
        if name != question and name not in GOES_WITH[question]:
            what = f"--{question}" if asked else "a call without a question"
            where = ", ".join(f"--{other}" for other, parts in GOES_WITH.items() if name in parts and other != "state")
            hint = f"it goes with {where}" if where else "it goes with no other question"
            raise click.UsageError(f"--{name} has no part in {what}; {hint}")
    return question
