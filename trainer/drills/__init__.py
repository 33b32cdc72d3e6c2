"""Questions for the ear and the marks for their answers."""
