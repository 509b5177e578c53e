"""How well the diagnosis finds hidden faults in simulated mowers, and in how many minutes.

    python tests/benchmarks/diagnosis.py [--mowers 2000] [--seed 20] [--out DIR]

Each mower plays three times, with the same customer's complaint: next check by information per
minute (the diagnosis itself), the fixed order of a printed checklist, and checks at random. All
three use the same inference and the same rule for when to stop, so that only the choice of checks
differs. The simulated mower is written from physics, not from the profile's likelihoods; how often
each cause is hidden, how bad faults are, how keen eyes are, and how much meters scatter are drawn
anew for each mower up to 30 % off the profile's or the usual. It measures that the diagnosis is
sound in itself, not that real mowers fail as these do.
"""

from __future__ import annotations

import argparse
import json
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from assistant.diagnosis import Diagnosis, diagnose
from assistant.diagnosis.causes import NO_FAULT, FaultModel, fault_model
from assistant.practice.garden import healthy_garden
from assistant.practice.hidden_fault import NOT_LISTED, OFF_THE_LIST, hide
from assistant.practice.simulated_mower import SimulatedMower
from assistant.practice.workup import Mistakes, Workup
from assistant.profile import Profile, load_profile

COMPLAINT = ("ask_homing", "ask_loop_and_charging")
STRATEGIES = ("information", "fixed order", "random")
KINDS = {"single": 0.75, "double": 0.1, "off the list": 0.05, "healthy": 0.1}
SLACK = 0.3
MISTAKES = Mistakes(digit=0.005, context=0.005)


@dataclass(frozen=True)
class Game:
    kind: str
    hidden: tuple[str, ...]
    strategy: str
    ranked: tuple[str, ...]
    chances: tuple[float, ...]
    minutes: float
    checks: int
    enough: bool
    complaint: bool
    """The customer's answers had something out or suspect in them."""

    @property
    def right_first(self) -> bool:
        return self.ranked[0] in (self.hidden or (NO_FAULT,))

    @property
    def in_top_two(self) -> bool:
        wanted = self.hidden or (NO_FAULT,)
        return (
            set(wanted) <= set(self.ranked[:2])
            if len(wanted) == 2
            else bool(set(wanted) & set(self.ranked[:2]))
        )


def hidden_faults(profile: Profile, rng: np.random.Generator) -> tuple[str, tuple[str, ...]]:
    """The kind of game and the faults hidden in it."""
    kind = str(rng.choice(list(KINDS), p=list(KINDS.values())))
    if kind == "healthy":
        return kind, ()
    if kind == "off the list":
        return kind, (str(rng.choice(OFF_THE_LIST)),)
    causes = [cause for cause in profile.cause if cause.id != NOT_LISTED]
    share = np.array([c.prior * rng.uniform(1 - SLACK, 1 + SLACK) for c in causes])
    count = 2 if kind == "double" else 1
    names = rng.choice([c.id for c in causes], count, replace=False, p=share / share.sum())
    return kind, tuple(str(name) for name in names)


def play(profile: Profile, model: FaultModel, seed: int, strategy: str) -> Game:
    rng = np.random.default_rng(seed)
    kind, hidden = hidden_faults(profile, rng)
    garden = healthy_garden(rng)
    for fault in hidden:
        garden = hide(garden, fault, rng, rng.uniform(1 - SLACK, 1 + SLACK))
    keen = min(0.98, 0.9 * rng.uniform(1 - SLACK, 1 + SLACK))
    order = list(rng.permutation([check.id for check in profile.check]))
    if strategy == "fixed order":
        order = [c.id for c in sorted(profile.check, key=lambda check: check.order)]
    checks = {check.id: check for check in profile.check}
    left = [name for name in order if name not in COMPLAINT]
    workup = Workup(profile, SimulatedMower(garden, rng, keen), rng, MISTAKES)
    for name in COMPLAINT:
        workup.carry_out(checks[name])
    minutes, done = sum(checks[name].minutes for name in COMPLAINT), len(COMPLAINT)
    diagnosis: Diagnosis = diagnose(workup.session, profile, model)
    complaint = any(finding.flagged for finding in diagnosis.findings)
    while not diagnosis.enough and diagnosis.next_checks and left:
        proposed = [c.check for c in diagnosis.next_checks if c.check in left]
        if not proposed:
            break
        name = proposed[0] if strategy == "information" else left[0]
        left.remove(name)
        workup.carry_out(checks[name])
        minutes += checks[name].minutes + checks[name].undo_minutes
        done += 1
        diagnosis = diagnose(workup.session, profile, model)
    named = tuple(NOT_LISTED if fault in OFF_THE_LIST else fault for fault in hidden)
    ranked = diagnosis.causes
    return Game(
        kind,
        named,
        strategy,
        tuple(c.cause for c in ranked),
        tuple(c.probability for c in ranked),
        minutes,
        done,
        diagnosis.enough,
        complaint,
    )


def share(part: int, whole: int) -> str:
    """A share with its 95 % Wilson interval, in percent."""
    if whole == 0:
        return "none played"
    p, z = part / whole, 1.96
    middle = (p + z * z / 2 / whole) / (1 + z * z / whole)
    half = z / (1 + z * z / whole) * np.sqrt(p * (1 - p) / whole + z * z / 4 / whole**2)
    low, high = 100 * (middle - half), 100 * (middle + half)
    return f"{100 * p:5.1f} % ({low:.1f} to {high:.1f}, {part} of {whole})"


GROUPS: dict[str, Callable[[Game], bool]] = {
    "single": lambda g: g.kind == "single",
    "  complained of": lambda g: g.kind == "single" and g.complaint,
    "  silent": lambda g: g.kind == "single" and not g.complaint,
    "double": lambda g: g.kind == "double",
    "off the list": lambda g: g.kind == "off the list",
    "healthy": lambda g: g.kind == "healthy",
}


def table(games: list[Game]) -> None:
    for strategy in STRATEGIES:
        print(f"\n{strategy}")
        for name, belongs in GROUPS.items():
            mine = [g for g in games if g.strategy == strategy and belongs(g)]
            if not mine:
                continue
            minutes = np.array([g.minutes for g in mine])
            first = share(sum(g.right_first for g in mine), len(mine))
            two = share(sum(g.in_top_two for g in mine), len(mine))
            print(f"  {name:15} first {first}")
            print(
                f"  {'':15} top two {two}; minutes {minutes.mean():.1f}, "
                f"median {np.median(minutes):.0f}; {np.mean([g.checks for g in mine]):.1f} checks"
            )
            if name == "off the list":
                none = sum(g.ranked[0] in (NOT_LISTED, NO_FAULT) for g in mine)
                print(f"  {'':15} no listed cause named first {share(none, len(mine))}")
            if name == "healthy":
                alarms = sum(g.enough and g.ranked[0] != NO_FAULT for g in mine)
                print(f"  {'':15} false alarms {share(alarms, len(mine))}")
    by_name = defaultdict(list)
    for g in games:
        if g.strategy == "information" and g.kind in ("single", "off the list"):
            by_name[g.hidden[0]].append(g)
    print("\nsingle faults, by information")
    for name, mine in sorted(by_name.items()):
        wrong = [g.ranked[0] for g in mine if not g.right_first]
        common = max(set(wrong), key=wrong.count) if wrong else "-"
        print(
            f"  {name:24} {share(sum(g.right_first for g in mine), len(mine)):42} "
            f"{np.mean([g.minutes for g in mine]):5.1f} min, most taken for {common}"
        )


def calibration(games: list[Game]) -> list[tuple[float, float, int]]:
    """Stated chance of each listed cause against how often it was there, in tenths."""
    stated, there = [], []
    for g in games:
        if g.strategy == "information":
            for cause, chance in zip(g.ranked, g.chances, strict=True):
                stated.append(chance)
                there.append(cause in (g.hidden or (NO_FAULT,)))
    said, was = np.array(stated), np.array(there)
    bins = np.minimum((said * 10).astype(int), 9)
    rows = [
        (said[bins == b].mean(), was[bins == b].mean(), int((bins == b).sum()))
        for b in range(10)
        if (bins == b).any()
    ]
    print("\nstated chance, share that was there, how many")
    for a, b, n in rows:
        print(f"  {a:.3f}  {b:.3f}  {n}")
    return rows


def read_game(line: str) -> Game:
    told = json.loads(line)
    return Game(**{k: tuple(v) if isinstance(v, list) else v for k, v in told.items()})


def draw(rows: list[tuple[float, float, int]], path: Path) -> None:
    import matplotlib as mpl

    mpl.use("Agg")
    from matplotlib import pyplot as plt

    figure, axes = plt.subplots(figsize=(5, 5))
    axes.plot([0, 1], [0, 1], color="0.6", linewidth=1)
    error = [2 * np.sqrt(max(b * (1 - b), 0.25 / n) / n) for _, b, n in rows]
    axes.errorbar([r[0] for r in rows], [r[1] for r in rows], yerr=error, fmt="o", capsize=3)
    axes.set(
        xlabel="chance stated by the diagnosis",
        ylabel="share in which the fault was there",
        xlim=(0, 1),
        ylim=(-0.02, 1.02),
        title="Simulated mowers",
    )
    figure.savefig(path, bbox_inches="tight")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--mowers", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=20)
    parser.add_argument("--first", type=int, default=0, help="number of the first mower")
    parser.add_argument("--out", type=Path, help="folder for games.jsonl and calibration.svg")
    parser.add_argument("--strategy", choices=STRATEGIES, action="append", help="only these")
    parser.add_argument("--again", type=Path, nargs="+", help="tabulate these games.jsonl instead")
    options = parser.parse_args()
    started = time.perf_counter()
    if options.again:
        lines = [line for path in options.again for line in path.read_text("utf-8").splitlines()]
        games = [read_game(line) for line in lines]
    else:
        profile = load_profile("robot_mower")
        model = fault_model(profile)
        seeds = [options.seed * 1_000_000 + options.first + i for i in range(options.mowers)]
        wanted = options.strategy or STRATEGIES
        games = [play(profile, model, seed, strategy) for seed in seeds for strategy in wanted]
    table(games)
    rows = calibration(games)
    print(f"\n{len(games)} games in {time.perf_counter() - started:.0f} s")
    if options.out:
        options.out.mkdir(parents=True, exist_ok=True)
        with (options.out / "games.jsonl").open("w", encoding="utf-8") as file:
            file.writelines(json.dumps(asdict(game)) + "\n" for game in games)
        draw(rows, options.out / "calibration.svg")


if __name__ == "__main__":
    main()
