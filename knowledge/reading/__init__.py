"""Text to sightings, scores, measures and cautions."""
