"""Chord charts: what a player writes, and what is then played."""
