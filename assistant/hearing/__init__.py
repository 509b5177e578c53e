"""Recognisers: an utterance becomes what each ear heard."""
