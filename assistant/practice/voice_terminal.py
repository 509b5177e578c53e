"""The check of one's own voice on the terminal: hear, count, suggest, ask, and measure again."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

from rich.console import Console
from rich.text import Text

from assistant.audio.recording import read_blocks
from assistant.audio.segments import utterances
from assistant.audio.utterance import Utterance
from assistant.errors import AudioError, BenchcallError
from assistant.hearing.ears import Ears
from assistant.practice.aliases import Alias, aliases, with_alias
from assistant.practice.own_profile import write_own_profile
from assistant.practice.phrases import PHRASES
from assistant.practice.pronouncing import OWN, Pronouncing, Said
from assistant.practice.voice_check import HeardPhrase, hear_phrases, results, understood
from assistant.profile.schema import Profile, SpokenWords
from assistant.report.printable import printable
from assistant.wording.parser import Parser

MOST_TAKEN = 6
OPEN_EAR = "whisper"
YES = ("y", "yes")


def from_files(folder: Path) -> Iterator[tuple[str, Utterance]]:
    """Recordings 01.wav to 20.wav, one phrase each. Raises AudioError where one is missing."""
    for number, phrase in enumerate(PHRASES, 1):
        path = folder / f"{number:02}.wav"
        found = list(utterances(read_blocks(path), path.name))
        if not found:
            raise AudioError(f"No speech was found in {path}. Record “{phrase}” again.")
        yield phrase, max(found, key=lambda one: one.end - one.start)


def from_microphone(
    blocks: Callable[[], Iterable[Utterance]], console: Console
) -> Iterator[tuple[str, Utterance]]:
    """Shows each phrase and takes the next thing said for it."""
    heard = iter(blocks())
    for number, phrase in enumerate(PHRASES, 1):
        count = f"{number:2} of {len(PHRASES)}, say: "
        console.print(Text.assemble((count, "dim"), (phrase, "bold")))
        said = next(heard, None)
        if said is None:
            raise AudioError(f"The microphone ended before “{phrase}”. Plug it in and begin again.")
        yield phrase, said


def check_voice(
    said: Iterable[tuple[str, Utterance]],
    ears: Ears,
    profile: Profile,
    spoken: SpokenWords,
    own_profile: Path,
    answers: Iterator[str],
    console: Console,
) -> None:
    """Nothing is written before it was answered with yes."""
    recorded = list(said)
    console.print(f"Hearing {len(recorded)} phrases with {', '.join(ears.names)} …")
    phrases = hear_phrases(ears, recorded)
    parser = Parser(profile, spoken)
    show_results(phrases, parser, console)
    learnt = [phrase for phrase in phrases if not phrase.held_out]
    console.print(Text("Looking for what would help …", "dim"))
    pronouncing = Pronouncing(phrases, profile, spoken) if OWN in ears.names else None
    ways = pronouncing.suggestions(learnt) if pronouncing else ()
    names = aliases(learnt, OPEN_EAR, profile, spoken) if OPEN_EAR in ears.names else ()
    taken_ways = [way for way in ways if _asked(_way_words(way), answers, console)]
    taken_names = [name for name in names if _asked(_name_words(name), answers, console)]
    if not ways and not names:
        console.print("Nothing was found that would help: the profile stays as it is.")
    if not taken_ways and not taken_names:
        return
    more = {way.word: way.phones for way in taken_ways}
    try:
        write_own_profile(own_profile, profile.id, more, taken_names)
    except BenchcallError as error:
        console.print(Text(printable(str(error)), "bold"), soft_wrap=True)
        return
    console.print(Text(f"Written to {own_profile}"), soft_wrap=True)
    _show_held_out(phrases, pronouncing, more, taken_names, profile, spoken, console)
    console.print(Text(f"Use it: benchcall listen --profile {own_profile}"), soft_wrap=True)


def show_results(phrases: Sequence[HeardPhrase], parser: Parser, console: Console) -> None:
    """Ear by ear; and how many phrases two ears understood, which is what may be accepted."""
    console.print()
    found = results(phrases, parser)
    for result in found:
        console.print(
            Text(f"{result.ear:12} understood {result.understood} of {result.phrases}", "bold")
        )
        for (words, heard), times in result.taken[:MOST_TAKEN]:
            often = f", {times} times" if times > 1 else ""
            console.print(Text(f"    “{words or '(nothing)'}” as “{heard or '(nothing)'}”{often}"))
    both = sum(
        sum(understood(p.said, heard, parser) for heard in p.heard.values()) > 1 for p in phrases
    )
    if len(found) > 1:
        console.print(Text(f"understood by two ears or more: {both} of {len(phrases)}"))


def _show_held_out(
    phrases: Sequence[HeardPhrase],
    pronouncing: Pronouncing | None,
    more: dict[str, str],
    names: Sequence[Alias],
    profile: Profile,
    spoken: SpokenWords,
    console: Console,
) -> None:
    held = [phrase for phrase in phrases if phrase.held_out]
    said = [phrase.said for phrase in held]
    if pronouncing is not None and more:
        before, after = (len(pronouncing.hear(said, m).understood) for m in ({}, more))
        console.print(
            Text(f"{OWN}, on {len(held)} phrases held out: {before} before, {after} now", "bold")
        )
    if names:
        changed = profile
        for name in names:
            changed = with_alias(changed, name.table, name.id, name.name)
        before, after = (
            sum(understood(p.said, p.heard[OPEN_EAR], Parser(trade, spoken)) for p in held)
            for trade in (profile, changed)
        )
        console.print(
            Text(f"{OPEN_EAR}, on {len(held)} phrases held out: {before} before, {after} now")
        )


def _way_words(way: Said) -> str:
    understood_now, understood_before = len(way.after.understood), len(way.before.understood)
    return (
        f"You say “{way.word}” as {way.phones}. Written so, {understood_now} of the first twelve "
        f"are understood ({understood_before} before), {way.after.misheard} words misheard "
        f"({way.before.misheard} before)"
    )


def _name_words(name: Alias) -> str:
    return (
        f"{name.ear} writes “{name.name}” for {name.id}, {name.times} times. As another name of "
        f"it, {name.after} instead of {name.before} of the first twelve are understood"
    )


def _asked(question: str, answers: Iterator[str], console: Console) -> bool:
    console.print(Text(f"{printable(question)}. Take it? (y or n) "), end="")
    answer = next(answers, "n").strip().lower()
    console.print()
    return answer in YES
