"""Which of the profile's labels a free text speaks of, so that a note can be found again.

Notes and complaints are kept as words and judged by nobody; this only lists what they mention.
spaCy's blank English pipeline cuts the words, its PhraseMatcher finds the labels. It is loaded
when a report is made, never while someone waits for a read-back.
"""

from __future__ import annotations

from functools import cache
from typing import Any

from assistant.profile.schema import Profile


def mentions(text: str, profile: Profile) -> tuple[str, ...]:
    """Titles of the quantities and observations named in ``text``, in the order of their
    first mention, each once; a longer label hides a shorter one inside it.

    >>> from assistant.profile import load_profile
    >>> mentions("Boundary resistance jumps when the blade screws are touched.", load_profile())
    ('boundary resistance', 'blade screws')
    """
    nlp, matcher, titles = _matcher(profile.id, _labels(profile))
    from spacy.util import filter_spans

    document = nlp(text.encode("utf-8", "replace").decode("utf-8"))
    spans = [document[start:end] for _, start, end in matcher(document)]
    found = [titles[span.text.lower()] for span in filter_spans(spans)]
    return tuple(dict.fromkeys(found))


Labels = tuple[tuple[str, str], ...]


def _labels(profile: Profile) -> Labels:
    """Spoken form and title of all quantities and observations."""
    titles = [(q.title, q.spoken) for q in profile.quantity]
    titles += [(o.title, o.spoken) for o in profile.observation]
    return tuple((said, title) for title, spoken in titles for said in (*spoken, title.lower()))


@cache
def _matcher(_name: str, labels: Labels) -> tuple[Any, Any, dict[str, str]]:
    import spacy
    from spacy.matcher import PhraseMatcher

    nlp = spacy.blank("en")
    matcher = PhraseMatcher(nlp.vocab, attr="LOWER")
    matcher.add("label", [nlp.make_doc(spoken) for spoken, _ in labels])
    return nlp, matcher, dict(reversed(labels))
