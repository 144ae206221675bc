"""The shell: command line and HTTP over the one door, vision.check."""
