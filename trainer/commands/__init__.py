"""The commands: one file each, everything heavy imported when it is used."""
