"""One person's or one club's coaching journal."""
