"""Sound in: microphone, files and recordings become utterances."""
