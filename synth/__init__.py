"""A small additive synthesizer: a Score of timed notes in, samples, files or a sounding device out."""
