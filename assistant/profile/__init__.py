"""The trade as data: profiles loaded from grammars/ and validated."""

from assistant.profile.load import (
    load_profile,
    load_spoken,
    own_profile_ids,
    profile_ids,
    read_profile,
)
from assistant.profile.schema import Profile, SpokenWords

__all__ = [
    "Profile",
    "SpokenWords",
    "load_profile",
    "load_spoken",
    "own_profile_ids",
    "profile_ids",
    "read_profile",
]
