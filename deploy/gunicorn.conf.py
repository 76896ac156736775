"""Sizes of one server, for ``tuckmark serve --config``; what is left out keeps its default."""

# One process a core: planning is arithmetic. More than cores only makes each answer slower.
workers = 2
# Requests of one process at a time; further ones wait in the kernel's queue.
threads = 4
# A process that says nothing for so long is replaced (a cut list may compute for its whole budget).
timeout = 60
# What a request may still take after a stop or a reload: a cut list its 20 s, and at most 20 more
# to start and to end. Whatever kills the service if it does not end must wait for longer.
graceful_timeout = 45
# Each process is relieved after so many requests; its successor serves before it leaves.
max_requests = 200_000
max_requests_jitter = 50_000
