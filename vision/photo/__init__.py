"""Bytes of a photo file -> an upright picture with what its metadata says."""
