"""Recorder, transcriber and trade-term repair."""
