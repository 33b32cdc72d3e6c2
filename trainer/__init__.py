"""keyfarer: reads a chord chart with its reasons, plays it, drills the ear on it and remembers what is due."""
