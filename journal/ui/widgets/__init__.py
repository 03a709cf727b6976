"""Pieces that several screens share. They tell their screen what happened through messages."""
