"""Sightings and check outcomes to likely causes and the next best check."""
