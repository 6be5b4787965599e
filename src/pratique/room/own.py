"""What a keeper puts before the program's own knowledge: values and regimens."""

from __future__ import annotations

from pratique.knowledge import store
from pratique.knowledge.model import Sourced
from pratique.problem import quoted
from pratique.quantity import CANONICAL, Measure, QuantityError, parse_measure
from pratique.room import model
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.known import check_treatment
from pratique.room.wrong import wrong_quantity


def check_own_values(findings: Findings) -> None:
    """Names are such as `copper-ionic.target`: a treatment or a pathogen, and a number of it."""
    treatments, pathogens = store.treatment_ids(), store.pathogen_ids()
    for name, own in findings.written.values.items():
        path: Path_ = ("values", name)
        record, _, number = name.partition(".")
        known = (*treatments, *pathogens)
        if record not in known:
            _unknown(findings, "treatment or pathogen", record, known, path)
            continue
        numbers = (store.treatment if record in treatments else store.pathogen)(record).numbers
        if number not in numbers:
            _unknown(findings, f"number of {record}", number, tuple(numbers), path)
            continue
        _check_own_value(findings, own, numbers[number], path)


def _unknown(findings: Findings, what: str, word: str, known: tuple[str, ...], path: Path_) -> None:
    hint = findings.near(what, word, known, {})
    if not hint:
        hint = "write such as `copper-ionic.target`; known: " + ", ".join(f"`{name}`" for name in known[:12])
    message = f"unknown {what} {quoted(word)}" if word else f"{quoted(path[-1])} does not say which number"
    findings.report("F113", findings.place(path, key=True, word=word), message, hint)


def _check_own_value(
    findings: Findings, own: model.OwnValue, numbers: tuple[Sourced, ...], path: Path_
) -> None:
    example = f"{numbers[0].value:g} {numbers[0].unit}"
    has_value = findings.has(path, "value", own.value)
    if has_value == findings.has(path, "use", own.use):
        message = "an own value has both `value` and `use`" if has_value else "an own value has no `value`"
        hint = f"write `value: {example}`, or `use: {numbers[0].source}` to choose that source's figure"
        findings.report("F128", findings.place(path, key=True), message, hint)
    elif own.use is not None:
        sources = tuple(dict.fromkeys(number.source for number in numbers))
        findings.check_name(own.use, sources, "source for this number", (*path, "use"))
    elif own.value is not None:
        _check_figure(findings, own.value, numbers[0].unit, (*path, "value"))


def _check_figure(findings: Findings, text: str, unit: str, path: Path_) -> None:
    try:
        figure = read_own_figure(text, unit)
    except QuantityError as error:
        wrong = wrong_quantity(error)
        findings.report(wrong.code, findings.place(path, word=wrong.part), wrong.message, wrong.hint)
        return
    if figure.value < 0 and unit != "degC":
        findings.report(
            "U212", findings.place(path), f"{quoted(text)} is negative", f"write it in {unit}, from zero up"
        )


def read_own_figure(text: str, unit: str) -> Measure:
    """The keeper's own value of a number that is kept in `unit`. Raises QuantityError.

    >>> read_own_figure("180 ug/L", "mg/L").value
    0.18
    """
    dimension = next(name for name, canonical in CANONICAL.items() if canonical == unit)
    figure = parse_measure(text, dimension)
    if not figure.exact:
        detail = "has an error after it, which is not read here"
        raise QuantityError("spread", text, dimension, detail, "write the number alone")
    return figure


def check_own_regimens(findings: Findings) -> None:
    for name, regimen in findings.written.regimens.items():
        for index, stage in enumerate(regimen.stages):
            for position, treatment in enumerate(stage.treatments):
                path: Path_ = ("regimens", name, "stages", index, "treatments", position)
                check_treatment(findings, treatment, path)
        if name in store.regimens():
            place = findings.place(("regimens", name), key=True)
            message = f"{quoted(name)} is the name of a regimen that ships with the program"
            findings.report("F119", place, message, "give yours another name")
