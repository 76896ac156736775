"""Tuckmark: from a rope-and-splice spec to marks, lengths, warnings and cautions."""

__version__ = "1.0.0"
