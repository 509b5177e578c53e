"""The ears of this machine: which recognisers are here, made from the profile, in their order.

The order is that of trust and cost: the first two hear every utterance, the next is woken only
where they leave a doubt.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Self

from assistant.audio.utterance import Utterance
from assistant.errors import HearingError, ModelError
from assistant.hearing.heard import EarHearing
from assistant.hearing.model_store import EARS, FoundModel, find_model, how_to_get
from assistant.hearing.proposals import Proposer
from assistant.hearing.recogniser import Recogniser, Weigher
from assistant.hearing.verified import load_verified
from assistant.profile.sayable import word_graph
from assistant.profile.schema import Profile, SpokenWords
from assistant.profile.word_graph import WordGraph


@dataclass(frozen=True, slots=True)
class _Making:
    """What an ear is made from."""

    model: FoundModel
    graph: WordGraph
    pronunciations: dict[str, str]
    profile: Profile


ALWAYS = 2
"""Ears that hear every utterance; the others are woken by doubt."""


def open_ears(
    profile: Profile, spoken: SpokenWords, names: Sequence[str] = (), at_once: int | None = None
) -> Ears:
    """The ears that are here, or just those named, in the order named. With ``at_once`` only so
    many of them are made now, the others by ``Ears.make_ready`` or when they are first needed.

    Raises UnknownNameError for an ear that there is not, ModelError for one whose model is
    missing here.
    """
    found: dict[str, FoundModel] = {}
    told: list[str] = []
    for name in names or EARS:
        try:
            model = find_model(name)
        except ModelError as error:
            if names:
                raise
            told.append(f"Going on without the ear {name}. {error}")
            continue
        if model is not None:
            found[name] = model
        elif names:
            raise ModelError(f"The ear {name} is not here. {how_to_get(name)}")
    if not found:
        raise ModelError(f"No recogniser is here. {how_to_get('pocketsphinx')}")
    graph = word_graph(profile, spoken)
    said = {**spoken.pronunciations, **profile.profile.pronunciations}
    makers = {
        name: partial(_MAKERS[name], _Making(model, graph, said, profile))
        for name, model in found.items()
    }
    ears = [makers.pop(name)() for name in tuple(makers)[:at_once]]
    models = {name: model.sha256 for name, model in found.items()}
    return Ears(ears, models, Proposer(profile, spoken), told, makers)


class Ears:
    """Ready to hear. ``models`` gives each ear's name and the SHA-256 of its model."""

    def __init__(
        self,
        ears: Sequence[Recogniser],
        models: dict[str, str],
        proposer: Proposer,
        told: Sequence[str] = (),
        to_make: Mapping[str, Callable[[], Recogniser]] | None = None,
    ) -> None:
        self._ears = list(ears)
        self._to_make = dict(to_make or {})
        self.models = models
        self._proposer = proposer
        self._verified = load_verified(models)
        self._told = dict.fromkeys(told)

    @property
    def names(self) -> tuple[str, ...]:
        return (*(ear.name for ear in self._ears), *self._to_make)

    def __iter__(self) -> Iterator[Recogniser]:
        """All that can be made, one after the other."""
        yield from self._ears
        while self._to_make:
            made = len(self._ears)
            self._make_next()
            yield from self._ears[made:]

    def make_ready(self) -> None:
        """Makes all ears that are not made yet."""
        for _ in self:
            pass

    @property
    def description(self) -> str:
        """For the user: the ears in their order, and what one alone means."""
        if len(self.names) > 1:
            return ", ".join(self.names)
        return f"{self.names[0]} alone, so that everything is asked and confirmed"

    def told(self) -> tuple[str, ...]:
        """What the user must know of ears that are missing or failed; each thing is told once."""
        told, self._told = tuple(self._told), {}
        return told

    def listen(self, utterance: Utterance) -> Iterator[EarHearing]:
        """Each step wakes the next ear, which weighs what was heard before it if it can. One that
        fails is left out of this utterance, and that is told: with fewer ears more is asked, and
        nothing is lost."""
        heard: list[EarHearing] = []
        for ear in self:
            try:
                if heard and isinstance(ear, Weigher):
                    hearing = ear.weigh(utterance, self._proposer.propose(heard))
                else:
                    hearing = ear.hear(utterance)
                heard.append(hearing)
                yield hearing
            except HearingError as error:
                self._told[f"The ear {ear.name} failed and was left out once. {error}"] = None

    def trusted(self, first: str, second: str) -> bool:
        """Whether these two, with the models that are here, have shown that they may accept."""
        return self._verified.is_verified(first, second)

    def _make_next(self) -> None:
        """One that can't be made is told of and left out."""
        name = next(iter(self._to_make))
        make = self._to_make.pop(name)
        try:
            self._ears.append(make())
        except (HearingError, ModelError) as error:
            self._told[f"Going on without the ear {name}. {error}"] = None

    def close(self) -> None:
        for ear in self._ears:
            ear.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _own(making: _Making) -> Recogniser:
    from assistant.hearing.own import OwnEar

    return OwnEar(making.graph, making.pronunciations, making.model.path)


def _letters(making: _Making) -> Recogniser:
    from assistant.hearing.letters import LettersEar

    return LettersEar(making.graph, making.pronunciations, making.model.path)


def _pocketsphinx(making: _Making) -> Recogniser:
    from assistant.hearing.pocketsphinx_ear import PocketsphinxEar

    return PocketsphinxEar(making.graph, making.pronunciations)


def _vosk(making: _Making) -> Recogniser:
    from assistant.hearing.vosk_ear import VoskEar

    return VoskEar(making.graph, making.model.path)


def _whisper(making: _Making) -> Recogniser:
    from assistant.hearing.whisper_ear import WhisperEar, whisper_prompt

    return WhisperEar(making.model.path, whisper_prompt(making.profile))


_MAKERS: dict[str, Callable[[_Making], Recogniser]] = {
    "own": _own,
    "letters": _letters,
    "pocketsphinx": _pocketsphinx,
    "vosk": _vosk,
    "whisper": _whisper,
}
