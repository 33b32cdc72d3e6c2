"""The vocabulary of harmony: pitches, intervals, chord symbols, keys, numerals, functions, cadences."""
