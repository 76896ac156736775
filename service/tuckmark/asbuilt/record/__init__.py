"""The record of an inspection to read, print and sign: made from its JSON and nothing else."""
