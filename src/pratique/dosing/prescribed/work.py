"""A treatment that somebody else decides, worked out as it was prescribed."""

from __future__ import annotations

from collections.abc import Iterator

from pratique.dosing.prescribed.bath import work_out_bath
from pratique.dosing.prescribed.choose import choose_prescription
from pratique.dosing.prescribed.course import Given, PrescribedAnswer, PrescribedRequest
from pratique.dosing.prescribed.food import work_out_food
from pratique.problem import Problem, Refusal


def work_out_prescribed(request: PrescribedRequest) -> PrescribedAnswer:
    """The course of the prescription that fits, or the reason why there is none. We choose neither drug nor dose."""
    given = choose_prescription(request)
    if not isinstance(given, Given):
        return Refusal(problems=(given,))
    chosen = list(_chosen_elsewhere(request, given))
    if chosen:
        return Refusal(problems=tuple(chosen))
    return work_out_bath(request, given) if given.written.way == "bath" else work_out_food(request, given)


def _chosen_elsewhere(request: PrescribedRequest, given: Given) -> Iterator[Problem]:
    """Another level or product than the one that was prescribed."""
    written, asked = given.written, request.asked
    hint = "leave it out; where the prescription was changed, change it in the room file"
    if asked.target is not None:
        message = f"the dose was prescribed, {written.dose.text}, and is not chosen by `--target`"
        yield Problem(code="D534", message=message, hint=hint)
    if asked.product not in (None, written.product):
        message = f"`{given.name}` was prescribed with `{written.product}`, and that is not chosen by `--product`"
        yield Problem(code="D534", message=message, hint=hint)
