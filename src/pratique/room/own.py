"""What a keeper puts before the program's own knowledge: values and regimens."""

from __future__ import annotations

from pratique.knowledge import store
from pratique.knowledge.model import Sourced, read_figure
from pratique.problem import quoted
from pratique.quantity import QuantityError
from pratique.room import model
from pratique.room.document import Path_
from pratique.room.findings import Findings
from pratique.room.known import check_treatment


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


def _check_own_value(findings: Findings, own: model.OwnValue, numbers: tuple[Sourced, ...], path: Path_) -> None:
    example = f"`{numbers[0].value:g} {numbers[0].unit}`"
    has_value = findings.has(path, "value", own.value)
    if has_value == findings.has(path, "use", own.use):
        message = "an own value has both `value` and `use`" if has_value else "an own value has no `value`"
        hint = f"write `value: {example[1:-1]}`, or `use: {numbers[0].source}` to choose that source's figure"
        findings.report("F128", findings.place(path, key=True), message, hint)
    elif own.use is not None:
        sources = tuple(dict.fromkeys(number.source for number in numbers))
        findings.check_name(own.use, sources, "source for this number", (*path, "use"))
    elif own.value is not None:
        _check_figure(findings, own.value, numbers[0].unit, example, (*path, "value"))


def _check_figure(findings: Findings, text: str, unit: str, example: str, path: Path_) -> None:
    try:
        figure = read_figure(text)
    except QuantityError as error:
        place = findings.place(path, word=error.part)
        findings.report("U209", place, f"{quoted(text)} {error.detail}", error.hint)
        return
    except ValueError:
        message = f"{quoted(text)} is not a number in {unit}"
        findings.report("U209", findings.place(path), message, f"write such as {example}")
        return
    if figure.unit != unit:
        message = f"{quoted(text)} is not in {unit}"
        findings.report("U209", findings.place(path), message, f"write such as {example}")


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
