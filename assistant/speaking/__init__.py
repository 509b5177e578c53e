"""Read-back: wording, speech and tones."""
