"""Practice on the terminal: exercises listed, done line by line, and marked."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from pathlib import Path

from rich.console import Console
from rich.table import Table
from rich.text import Text

from assistant.audio.recording import read
from assistant.audio.utterance import RATE, Utterance
from assistant.practice.exercise import ANY_TRADE, KIND_WORDS
from assistant.practice.log import Practised, best_marks
from assistant.practice.marks import PASS, SKILLS, Score
from assistant.practice.play import Done, Play, Shown
from assistant.practice.progress_lines import progress_lines
from assistant.practice.progress_picture import progress_picture
from assistant.practice.room import PracticeRoom
from assistant.practice.stretch import cut
from assistant.profile.load import DEFAULT_PROFILE
from assistant.report.printable import printable

_NAMESPACES = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'  # in a file
)


def show_list(room: PracticeRoom, console: Console) -> None:
    """Every exercise with the best marks so far, and where own ones go."""
    done, wrong = room.log.read(room.who)
    best = best_marks(done)
    table = Table.grid(padding=(0, 2))
    table.add_row(*(Text(head, "dim") for head in ("level", "kind", "exercise", "", "best")))
    for e in room.library.exercises:
        marks = f"{best[e.id]:.0f}" if e.id in best else "-"
        title = e.title if e.profile == DEFAULT_PROFILE else f"{e.title} ({e.profile})"
        row = (str(e.level), KIND_WORDS[e.kind], e.id, title, marks)
        table.add_row(*(Text(printable(cell)) for cell in row))
    console.print(table)
    console.print()
    console.print(Text(f"Best is of 100 marks; {PASS:.0f} pass."))
    own = f"Exercises of your own (TOML) go into {room.own_exercises}"
    console.print(Text(own, "dim"), soft_wrap=True)
    console.print(Text(ANY_TRADE, "dim"))
    for line in (*room.library.wrong, *wrong):
        console.print(Text(printable(line), "bold"), soft_wrap=True)


def do(
    play: Play,
    console: Console,
    lines: Iterable[str],
    picture_to: Path | None = None,
    listen: Callable[[Path], str] = lambda _: "",
    spoken: Iterable[Utterance] = (),
) -> bool:
    """What is ``spoken`` first, then line by line until it is done; False when the lines ended
    before. ``listen`` plays a recording and says why it could not, "" when it could."""
    e = play.exercise
    console.print(Text(f"{e.title}  (level {e.level}, {KIND_WORDS[e.kind]})", "bold"))
    if e.kind != "find_fault":
        console.print(Text(printable(e.story)))
    console.print()
    _show(play.begin(), console, picture_to, listen)
    _hear(play, spoken, console, picture_to, listen)
    _prompt(play, console)
    for line in lines:
        _show(play.type(line), console, picture_to, listen)
        if play.done is not None:
            return True
        _prompt(play, console)
    return False


def show_marks(done: Done, console: Console, again_to: Path) -> None:
    """Section by section, what was lost and why, and what would have kept it all."""
    score: Score = done.score
    console.print()
    verdict = "passed" if score.passed else f"not passed yet ({PASS:.0f} passes)"
    console.print(Text(f"{score.total:g} of 100, {verdict}", "bold"))
    for section, most in score.sections.items():
        kept = score.kept(section)
        bar = "█" * round(20 * kept / most) + "░" * (20 - round(20 * kept / most))
        console.print(Text(f"  {section:9} {kept:5.1f} of {most:g} {bar}"))
    for number, lost in enumerate(score.lost, 1):
        line = Text.assemble((f"  −{lost.points:.1f} ", "bold"), printable(lost.reason))
        console.print(line)
        if lost.sound is not None:
            path = cut(lost.sound, again_to / f"{number}.wav")
            console.print(Text(f"       hear it again: {path}", "dim"), soft_wrap=True)
    if score.lost:
        console.print(Text("How it was:", "underline"))
        for row in done.model_answer:
            console.print(Text(f"  {printable(row)}"))
    if done.minutes is not None:
        console.print(
            Text(f"Minutes: {done.minutes:g}; the best order takes {done.best_minutes:g}.")
        )


def show_next(one: Practised, room: PracticeRoom, console: Console) -> None:
    weak = [SKILLS.get(skill, skill) for skill, cost in one.skills.items() if cost > 0]
    if weak:
        console.print(Text(f"Will come back soon: {', '.join(weak)}."))
    _print_choice(room, console)


def show_progress(room: PracticeRoom, console: Console, picture_to: Path | None) -> None:
    done, wrong = room.log.read(room.who)
    for line in (*progress_lines(done, room.now()), *wrong):
        console.print(Text(printable(line)), soft_wrap=True)
    if done:
        _print_choice(room, console)
    picture = progress_picture(done, "Marks over the weeks") if picture_to else ""
    if picture_to is not None and picture:
        _write_picture(picture, picture_to, console)


def play_aloud(path: Path) -> str:
    """Begins to play a recording and comes back at once; gives why it can't, "" when it can."""
    try:
        import sounddevice

        sounddevice.play(read(path), RATE)
    except Exception as error:  # no device, no PortAudio: any player will do instead
        return f"{error}. Open it in any player."
    return ""


def typed_lines() -> Iterable[str]:
    """Lines from the keyboard or a pipe, until it ends."""
    for line in sys.stdin:
        if not sys.stdin.isatty():
            print(printable(line.rstrip("\n")))  # a pipe shows nothing of its own
        yield line


def _print_choice(room: PracticeRoom, console: Console) -> None:
    choice = room.choose()
    who = f' --who "{printable(room.who)}"' if room.who else ""
    line = f"Next: benchcall practise {choice.exercise.id}{who}  ({printable(choice.why)})"
    console.print(Text(line), soft_wrap=True)


def _hear(
    play: Play,
    spoken: Iterable[Utterance],
    console: Console,
    picture_to: Path | None,
    listen: Callable[[Path], str],
) -> None:
    """Until the trainee says that the job is closed, or Ctrl-C; the rest is typed."""
    try:
        for utterance in spoken:
            shown = play.hear(utterance)
            _show(shown, console, picture_to, listen)
            if shown.heard_all:
                return
    except KeyboardInterrupt:
        console.print()


def _prompt(play: Play, console: Console) -> None:
    console.print(Text(f"{play.prompt} > ", "bold"), end="")


def _show(
    shown: Shown, console: Console, picture_to: Path | None, listen: Callable[[Path], str]
) -> None:
    for line in shown.lines:
        console.print(Text("\n".join(map(printable, line.split("\n")))), soft_wrap=True)
    if shown.picture and picture_to is not None:
        _write_picture(shown.picture, picture_to, console)
    if shown.sound is not None and (why := listen(shown.sound)):
        console.print(Text(f"  Not played here: {why}", "dim"), soft_wrap=True)


def _write_picture(svg: str, path: Path, console: Console) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    svg = svg.replace("<svg", f"<svg {_NAMESPACES}", 1)
    path.write_text(svg, "utf-8")
    console.print(Text(f"  The same as a picture: {path}", "dim"), soft_wrap=True)
