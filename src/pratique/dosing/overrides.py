"""Setting an interlock aside with a reason: which one, whether it yields, and what is then said of it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from pratique.knowledge import store
from pratique.knowledge.interlock import Interlock
from pratique.knowledge.model import Treatment
from pratique.problem import Problem, quoted

_NAMED = re.compile(r"(?P<codes>[A-Za-z]\d{3}(?:(?:,| and) ?[A-Za-z]\d{3})*) ?: ?(?P<reason>.*)")
_CODE = re.compile(r"[A-Za-z]\d{3}")

SHORTEST, LONGEST = 3, 300
"""Letters of a reason: one can be read, and fits on a sheet."""

EXAMPLE = "--because 'D412: the lamp is behind a shut valve'"


@dataclass(frozen=True, slots=True, kw_only=True)
class Overridden:
    """An interlock that stood in the way, what it said, and why the keeper went on."""

    code: str
    message: str
    because: str


def set_aside(
    problems: Iterable[Problem], treatment: Treatment, because: tuple[str, ...]
) -> tuple[list[Problem], tuple[Overridden, ...]]:
    """The problems with those interlocks that a reason sets aside turned into warnings; and the reasons.

    A reason may begin with the code it is for (`D412: …`); without one it is for the only interlock that yields.
    One that has nothing to set aside, or that is not clear, is a problem of its own.
    """
    found = list(problems)
    if not because:
        return found, ()
    asked = _Asked(found, treatment, because)
    reasons, wrong = asked.reasons()
    overridden = tuple(
        Overridden(code=p.code, message=p.message, because=reasons[p.code])
        for p in found
        if p.code in reasons
    )
    kept = [replace(p, severity="warning") if p.code in reasons else p for p in found]
    return [*wrong, *kept], overridden


class _Asked:
    """The blocks that stand, and what each reason was given for."""

    def __init__(self, problems: list[Problem], treatment: Treatment, because: tuple[str, ...]) -> None:
        self._rules = {rule.code: rule for rule in store.interlocks()}
        self._treatment, self._because = treatment, because
        self._stands = {p.code: p for p in problems if p.is_error}
        self._yields = [code for code in self._stands if self._rules[code].yields_to_reason(treatment.id)]

    def reasons(self) -> tuple[dict[str, str], list[Problem]]:
        """Code to reason, for those that are set aside; and what is wrong with the reasons."""
        found: dict[str, str] = {}
        wrong: list[Problem] = []
        loose: list[str] = []
        for text in (" ".join(text.split()) for text in self._because):
            named = _NAMED.fullmatch(text)
            reason = named["reason"] if named else text
            if not SHORTEST <= len(reason) <= LONGEST:
                wrong.append(_no_reason(text))
            elif named is None:
                loose.append(reason)
            else:
                for code in (code.upper() for code in _CODE.findall(named["codes"])):
                    wrong += self._why_not(code)
                    found[code] = reason
        left = [code for code in self._yields if code not in found]
        firm = [code for code in self._stands if code not in self._yields]
        if len(loose) == 1 and len(left) == 1:
            found[left[0]] = loose[0]
        elif loose and not firm:
            wrong += self._unclear(left)
        wrong += [cannot_be_overridden([self._stands[code] for code in firm])] if firm else []
        return {code: reason for code, reason in found.items() if code in self._yields}, wrong

    def _why_not(self, code: str) -> Iterator[Problem]:
        """Nothing for a block that stands: whether it yields is said of all of them at once."""
        if code in self._stands:
            return
        rule = self._rules.get(code)
        yield Problem(
            code="D521",
            message=f"there is nothing to override: {_what_of(code, rule, self._treatment)}",
            hint=_hint(self._yields),
        )

    def _unclear(self, left: list[str]) -> Iterator[Problem]:
        if len(left) > 1:
            yield Problem(
                code="D522",
                message=f"the reason does not say which it is for, {_named(left)}",
                hint="say it of each: " + " ".join(f"--because '{code}: …'" for code in left),
            )
        elif not left:
            message = "there is nothing to override: no interlock stands in the way"
            yield Problem(code="D521", message=message, hint=_hint([]))


def cannot_be_overridden(problems: list[Problem]) -> Problem:
    """The answer to a reason given against an interlock that yields to none."""
    names = _named(problem.code for problem in problems)
    return Problem(
        code="D520",
        message=f"{names} cannot be overridden: {problems[0].message}",
        note="it can maim or kill people, is as good as certain to kill the animals, or leaves no true dose",
        hint=problems[0].hint,
    )


def _no_reason(text: str) -> Problem:
    return Problem(
        code="D521",
        message=f"{quoted(text)} is not a reason",
        note=f"a reason has {SHORTEST} to {LONGEST} letters, since it is printed on the sheet",
        hint=f"say why it is right here, such as {EXAMPLE}",
    )


def _what_of(code: str, rule: Interlock | None, treatment: Treatment) -> str:
    if rule is None:
        return f"`{code}` is no interlock"
    if rule.verdict == "warn":
        return f"`{code}` is a warning and stops nothing"
    return f"`{code}` does not stand in the way of `{treatment.id}` here"


def _named(codes: Iterable[str]) -> str:
    *most, last = (f"`{code}`" for code in codes)
    return f"{', '.join(most)} and {last}" if most else last


def _hint(yields: list[str]) -> str:
    if not yields:
        return "leave `--because` out"
    return "what stands in the way: " + ", ".join(f"`{code}`" for code in yields)
