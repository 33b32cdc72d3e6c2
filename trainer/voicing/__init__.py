"""Who plays which note: voicings, leading, and the performance that makes a score."""
