"""Tape readings as people write them -> millimetres with their uncertainty."""
