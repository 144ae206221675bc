"""The report as data and as pictures."""
