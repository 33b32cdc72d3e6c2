"""The judgement: from a timeline of chords to key centers, functions, cadences and their reasons."""
