"""Numbers said in words, for whoever needs them: hearing, to write them; wording, to read them."""
