"""How to cut the reels on the shelf: from a judged request to a proven cut list.

All lengths inside are whole tenths of a millimetre, so that no rounding can lose a piece.
``solving`` is the way in; ``knapsack``, ``master`` and ``columns`` are column generation on HiGHS.
"""
