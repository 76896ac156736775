"""What holds for all tests."""

from hypothesis import settings

# No test asks for a time: on a busy machine it would find fault with the machine.
settings.register_profile("any machine", deadline=None)
settings.load_profile("any machine")
