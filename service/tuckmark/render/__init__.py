"""Representations of a plan."""
