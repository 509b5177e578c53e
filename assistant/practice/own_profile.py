"""The trainee's own profile: the shipped file with what was accepted written into it, every other
line as it was."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Mapping
from pathlib import Path

from assistant.errors import ProfileError, RecordError
from assistant.practice.aliases import Alias
from assistant.profile.load import read_profile
from assistant.profile.schema import Profile
from assistant.profile.toml_lines import toml_lines
from assistant.shipped import shipped

_TABLE = "[profile.pronunciations]"


def own_profile_path(folder: Path, profile: Profile, who: str) -> Path:
    """Where ``who`` keeps an own copy of a profile, below the practice folder."""
    initials = "".join(c for c in who.casefold() if c.isascii() and c.isalnum())
    return folder / f"my_{profile.id}{'_' if initials else ''}{initials}.toml"


def write_own_profile(
    path: Path,
    shipped_id: str,
    pronunciations: Mapping[str, str] | None = None,
    aliases: Iterable[Alias] = (),
) -> Profile:
    """Adds to the file at ``path``, made from the shipped profile where there is none yet.

    Nothing is left changed when the result is no valid profile: ProfileError says why. Raises
    RecordError when it can't be written.
    """
    source = path if path.exists() else shipped("grammars") / f"{shipped_id}.toml"
    text = source.read_text("utf-8")
    for word, phones in (pronunciations or {}).items():
        text = _with_pronunciation(text, word, phones)
    for alias in aliases:
        text = _with_alias(text, alias)
    new = path.with_name(f"new_{path.name}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        new.write_text(text, "utf-8")
        profile = read_profile(new)
        new.replace(path)
    except OSError as error:
        raise RecordError(
            f"{path} can't be written ({error.strerror}). Free some space, or set BENCHCALL_HOME "
            "to a folder that may be written to."
        ) from error
    except ProfileError as error:
        new.unlink()
        told = str(error).replace(str(new), str(path))
        raise ProfileError(
            f"What was suggested does not fit, and {path} is as it was. {told}"
        ) from error
    return profile


def _with_pronunciation(text: str, word: str, phones: str) -> str:
    lines = text.splitlines(keepends=True)
    places = toml_lines(text)
    old = places.get(("profile", "pronunciations", word))
    if old is not None:
        lines[old - 1] = f'{word} = "{phones}"\n'
        return "".join(lines)
    table = places.get(("profile", "pronunciations"))
    if table is None:
        return f'{text.rstrip()}\n\n{_TABLE}\n{word} = "{phones}"\n'
    lines.insert(table, f'{word} = "{phones}"\n')
    return "".join(lines)


def _with_alias(text: str, alias: Alias) -> str:
    """Another name at the end of the label's list of names."""
    rows = tomllib.loads(text)[alias.table]
    place = next(n for n, row in enumerate(rows) if row["id"] == alias.id)
    line = toml_lines(text)[(alias.table, place, "spoken")]
    start = sum(len(one) for one in text.splitlines(keepends=True)[: line - 1])
    listed = re.compile(r"(\s*spoken\s*=\s*\[[^\]]*?),?\s*\]")
    return text[:start] + listed.sub(rf'\1, "{alias.name}"]', text[start:], count=1)
