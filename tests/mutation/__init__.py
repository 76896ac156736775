"""The mutation check: is there a number in the service that no test would miss?"""
