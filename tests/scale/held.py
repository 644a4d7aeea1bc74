"""One brief through the tool's own road, held against the outside model of it."""

from __future__ import annotations

from scale.findings import Findings
from scale.impossible import Impossible
from scale.outside import Both
from scale.possible import Possible
from scale.stated import Stated

from optimiser.answers.cheapest import Cheapest, cheapest
from optimiser.brief import Request
from optimiser.exact.dictionary import UnsettledError
from optimiser.provenance import InputError


def held(request: Request, solver: Both) -> Findings:
    """Everything that the answer to a request tells, compared."""
    findings = Findings()
    stated = Stated(request)
    try:
        answer = cheapest(request)
    except InputError as refusal:
        findings.outcomes["refused"] += 1
        findings.hold("refused", stated.refusals(), str(refusal))
        return findings
    except UnsettledError as unsettled:
        findings.outcomes["not proven"] += 1
        findings.unproven[str(unsettled)] += 1
        return findings
    findings.outcomes[answer.status] += 1
    if findings.hold("refused", not stated.refusals(), "answered what cannot be stated"):
        compare(stated, answer, solver, findings)
    return findings


def compare(stated: Stated, answer: Cheapest, solver: Both, findings: Findings) -> None:
    """Everything that an answer tells, compared with the outside model."""
    columns = answer.formulation.model.columns
    if not findings.hold("what may be used", list(columns) == stated.names, str(columns)):
        return
    outside = solver.least(stated.programme(), surely=True)
    is_same = outside.status == answer.status
    if not findings.hold("status", is_same, f"{outside.status} told as {answer.status}"):
        return
    if answer.certificate.x is None:
        Impossible(stated, answer, solver, findings).compare()
        return
    told = answer.certificate.cost
    findings.hold("least cost", outside.value == told, f"{outside.value} told as {told}")
    Possible(stated, answer, solver, findings).compare()
