"""Which faults explain the findings: exact posterior over none, one or two causes.

Signs are read off the findings, one for each sign of the profile, so that nothing is counted
twice. Causes bring signs about by noisy-OR with a leak. Signs that go together (a joint in the
guide wire, a battery that only begins to fade) are told by the forms of a cause: each form is a
hypothesis of its own, and the chance of the cause is the sum over them. A sign as seen may be
wrong because its reading was (a digit misheard, the wrong context): that is ``misread``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import combinations, product

import numpy as np

from assistant.diagnosis.finding import Cause, Finding
from assistant.diagnosis.inference import Floats, noisy_or, update
from assistant.profile.rules import Cause as CauseRow
from assistant.profile.schema import Profile, Sign

NO_FAULT = "no_fault"
AT_MOST = 2
SHARES = ("nothing_wrong_share", "two_faults_share")
"""Constants of a profile: the share of the mowers brought in with no fault, and with two."""
TELLING = 1.5
"""A sign speaks for or against a cause from this ratio of likelihoods on."""


@dataclass(frozen=True, slots=True)
class FaultModel:
    """``hypotheses`` are sets of cause ids, one for each combination of their forms; ``prior``
    has one number for each; ``present`` gives for each sign the chance, under each hypothesis,
    that it is seen present; ``faults`` has a row for each set, one where a hypothesis is it."""

    hypotheses: tuple[tuple[str, ...], ...]
    prior: Floats
    present: Mapping[str, Floats]
    faults: Floats

    def likelihood(self, sign: str, seen: bool) -> Floats:
        return self.present[sign] if seen else 1.0 - self.present[sign]

    def posterior(self, seen: Mapping[str, bool]) -> Floats:
        return update(self.prior, (self.likelihood(s, yes) for s, yes in seen.items()))

    def marginal(self, belief: Floats, cause: str) -> float:
        """Chance that a cause is there, alone or with another; NO_FAULT asks for none."""
        holds = [(not h) if cause == NO_FAULT else cause in h for h in self.hypotheses]
        return float(belief[np.array(holds)].sum())

    def alone(self, belief: Floats, *causes: str) -> Floats:
        """The belief among the forms of these causes and no other, summing to one."""
        only = np.array([h == causes for h in self.hypotheses])
        return np.asarray(np.where(only, belief, 0.0) / belief[only].sum())


@dataclass(frozen=True, slots=True)
class _Form:
    cause: str
    odds: float
    shows: Mapping[str, float]


def _forms(cause: CauseRow) -> list[_Form]:
    odds = cause.prior / (1.0 - cause.prior)
    if not cause.form:
        return [_Form(cause.id, odds, cause.shows)]
    return [_Form(cause.id, odds * f.share, {**cause.shows, **f.shows}) for f in cause.form]


def fault_model(profile: Profile) -> FaultModel:
    """The hypotheses of a profile: prior odds multiply, and more than two faults are left out.
    Where the profile says in how many mowers nothing or two things are wrong, that holds."""
    forms = [_forms(cause) for cause in profile.cause]
    groups = [
        group
        for size in range(AT_MOST + 1)
        for chosen in combinations(forms, size)
        for group in product(*chosen)
    ]
    weight = np.array([np.prod([form.odds for form in group]) for group in groups])
    if all(name in profile.constants for name in SHARES):
        none, two = (profile.constants[name] for name in SHARES)
        sizes = np.array([len(group) for group in groups])
        for size, part in enumerate((none, 1.0 - none - two, two)):
            weight[sizes == size] *= part / max(weight[sizes == size].sum(), 1e-12)
    present = {}
    for sign in profile.sign:
        true = np.array(
            [
                noisy_or(sign.leak, (form.shows.get(sign.id, 0.0) for form in group))
                for group in groups
            ]
        )
        present[sign.id] = true * (1 - sign.misread) + (1 - true) * sign.misread
    names = tuple(tuple(form.cause for form in group) for group in groups)
    sets = list(dict.fromkeys(names))
    faults = np.zeros((len(sets), len(names)))
    faults[[sets.index(name) for name in names], range(len(names))] = 1.0
    return FaultModel(names, weight / weight.sum(), present, faults)


def signs_seen(profile: Profile, findings: Iterable[Finding]) -> dict[str, bool]:
    """Sign id to whether it is present; a sign that isn't known is left out."""
    by_rule: dict[str, list[Finding]] = {}
    for finding in findings:
        by_rule.setdefault(finding.rule, []).append(finding)
    seen = {}
    for sign in profile.sign:
        mine = [f for f in by_rule.get(sign.rule, ()) if f.flagged or f.verdict == "ok"]
        if any(f.verdict in sign.present and sign.lower in (None, f.lower) for f in mine):
            seen[sign.id] = True
        elif mine and (sign.lower or not any(f.flagged for f in mine)):
            seen[sign.id] = False
    return seen


def ranked_causes(
    profile: Profile, model: FaultModel, belief: Floats, findings: tuple[Finding, ...]
) -> tuple[Cause, ...]:
    """Every cause of the profile and "no_fault", most probable first, with its reasons; none where
    the profile lists no cause."""
    if not profile.cause:
        return ()
    seen = signs_seen(profile, findings)
    signs = [
        _Seen(sign, seen[sign.id], model.likelihood(sign.id, seen[sign.id]), _text(sign, findings))
        for sign in profile.sign
        if sign.id in seen
    ]
    ranked = [
        Cause(
            cause.id,
            cause.title,
            model.marginal(belief, cause.id),
            *_reasons(model, belief, cause.id, signs),
            remedy=cause.remedy,
            caution=cause.caution,
        )
        for cause in profile.cause
    ]
    ranked.append(
        Cause(
            NO_FAULT,
            "nothing on this list is wrong",
            model.marginal(belief, NO_FAULT),
            _once(sign.text for sign in signs if not sign.present),
            unexplained=_once(sign.text for sign in signs if sign.present),
        )
    )
    return tuple(sorted(ranked, key=lambda cause: -cause.probability))


@dataclass(frozen=True, slots=True)
class _Seen:
    sign: Sign
    present: bool
    likelihood: Floats
    text: str


def _reasons(
    model: FaultModel, belief: Floats, cause: str, signs: list[_Seen]
) -> tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...]]:
    """What speaks for a cause, which of its signs are missed and which signs it leaves
    unexplained: each sign as likely under it alone as under no fault tells nothing, unless it is
    there and the cause doesn't explain it. Of the cause's forms each counts by what is believed
    of it. The most telling comes first."""
    here, none = model.alone(belief, cause), model.alone(belief)
    pro: list[tuple[float, str]] = []
    missed: list[tuple[float, str]] = []
    unexplained: list[str] = []
    for seen in signs:
        ratio = float(seen.likelihood @ here) / float(seen.likelihood @ none)
        if ratio >= TELLING:
            pro.append((-ratio, seen.text))
        elif ratio <= 1 / TELLING:
            missed.append((ratio, f'"{seen.sign.title}" should show, but {seen.text}'))
        elif seen.present:
            unexplained.append(seen.text)
    pro.sort(key=lambda row: row[0])
    missed.sort(key=lambda row: row[0])
    return (
        _once(text for _, text in pro),
        _once(text for _, text in missed),
        _once(unexplained),
    )


def _once(texts: Iterable[str]) -> tuple[str, ...]:
    """Two signs may rest on one finding, whose words are then told once."""
    return tuple(dict.fromkeys(texts))


def _text(sign: Sign, findings: tuple[Finding, ...]) -> str:
    """The reason of the finding that settled the sign: what is flagged goes first."""
    mine = [f for f in findings if f.rule == sign.rule and (f.flagged or f.verdict == "ok")]
    mine.sort(key=lambda finding: not finding.flagged)
    return mine[0].reason if mine else sign.title
