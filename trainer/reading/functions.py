"""The function that each role of the search is called by."""

from trainer.harmony.function import Function

FUNCTION_OF: dict[str, Function] = {
    "T": "tonic", "t": "tonic", "P": "predominant", "r": "predominant", "D": "dominant", "R": "dominant",
    "L": "plagal", "A": "dominant", "a": "predominant", "X": "passing", "C": "color",
}  # fmt: skip
