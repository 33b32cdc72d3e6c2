"""Ways in: a microphone behind each file here, opened through synth.microphone only."""
