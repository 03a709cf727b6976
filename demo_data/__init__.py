"""An invented club, its people, a month of their notes, and one spoken note."""
