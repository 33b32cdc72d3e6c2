"""The ways out: one file for each kind of sound device."""
