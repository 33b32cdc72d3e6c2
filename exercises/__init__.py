"""The exercise tunes and the course: data that ship with the program."""
