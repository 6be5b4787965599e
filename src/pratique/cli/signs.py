"""`pratique signs`: what may it be, and what comes first?"""

from __future__ import annotations

import sys

import click

from pratique.cli.session import Session, choose, shared_options

HELP = """What may ail the animals in TANK, and what comes first?

Say in plain words what is seen, in any order; without any word it is asked, one key each. It ranks what fits, and is
never a diagnosis.

\b
dust                     a sign by its id, its title or other words for it
no spots                 a sign that was looked for and is not there; or --not spots
since 2 h, overnight     how fast it came
all at once, one fish    who is affected; or the name of an animal
dying NAME, dead NAME    who is near death, who was found dead
size 0.1 mm, count 12    how large the spots are, how many
breaths 120/min usual 80 gill beats a minute, and what is usual
oxygen 5 mg/L            a reading made now: also ammonia, temperature, ph, copper, salinity
pump stopped, new fish, water changed, copper added, uncycled
"""


@click.command("signs", help=HELP)
@click.argument("tank")
@click.argument("words", nargs=-1, metavar="[SIGN]...")
@click.option("--not", "denied", metavar="SIGN", multiple=True, help="A sign that was looked for and is not there.")
@click.option("--ammonia", metavar="LEVEL", help="Total ammonia read now, such as '0.5 mg/L'.")
@click.option("--oxygen", metavar="LEVEL", help="Oxygen read now, such as '5 mg/L'.")
@click.option("--temperature", metavar="DEGREES", help="Temperature read now, such as '27 degC'.")
@click.option("--ask", is_flag=True, help="Ask more, also where signs are given.")
@click.option("--write", is_flag=True, help="Write the signs that were seen into the log.")
@click.option("--card", is_flag=True, help="Instead: the card to hang by TANK, for the day the fast killer is seen.")
@shared_options
def command(
    tank: str,
    words: tuple[str, ...],
    denied: tuple[str, ...],
    ask: bool,
    write: bool,
    card: bool,
    room_path: str | None,
    log_path: str | None,
    at_text: str | None,
    as_json: bool,
    **readings: str | None,
) -> None:
    session = Session("signs", room_path, at_text, as_json, log_path)
    room = session.need_room("nothing was ranked")
    tank = choose(tank, room.tanks, "tank", "TANK")
    if card:
        from pratique.cli.signs_card import show_card

        show_card(session, tank)
    said = [f"{name} {value}" for name, value in readings.items() if value is not None]
    text = ", ".join([" ".join(words), *said]).strip(", ")
    if ask and not sys.stdin.isatty():
        raise click.UsageError("--ask needs a terminal to ask at; say what is seen instead, such as `dust gasping`")
    from pratique.cli.signs_answer import Asked, answer

    answer(Asked(session=session, tank=tank, text=text, denied=", ".join(denied), ask=ask, write=write))
