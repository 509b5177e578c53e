"""Phrase matching against an outside matcher: spaCy's PhraseMatcher finds the same phrases."""

from __future__ import annotations

import random

import pytest

from assistant.profile import load_profile, load_spoken
from assistant.wording.labels import label_phrases


def test_the_longest_phrase_at_every_word_is_spacys() -> None:
    spacy = pytest.importorskip("spacy")
    matching = pytest.importorskip("spacy.matcher")
    tokens = pytest.importorskip("spacy.tokens")
    profile, spoken = load_profile(), load_spoken()
    phrases = label_phrases(profile, spoken)
    said = {
        phrase
        for labels in (profile.quantity, profile.position, profile.observation, profile.event)
        for label in labels
        for phrase in label.spoken
    }
    vocab = spacy.blank("en").vocab
    matcher = matching.PhraseMatcher(vocab)
    matcher.add("label", [tokens.Doc(vocab, words=phrase.split()) for phrase in said])
    chance = random.Random(1)
    for _ in range(500):
        words = " ".join(chance.choices(sorted(said), k=6)).split()
        longest: dict[int, int] = {}
        for _, start, end in matcher(tokens.Doc(vocab, words=words)):
            longest[start] = max(longest.get(start, 0), end - start)
        for start, length in longest.items():
            found = phrases.at(words, start)
            assert found is not None
            assert found.length >= length  # a context or command may be longer still
            if found.of("quantity", "position", "observation", "event"):
                assert found.length == length
