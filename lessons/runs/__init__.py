"""Runs of the planner: what a worker plans, the row that is the truth about it, and the pages about it.

The queue's own task stays in `lessons.tasks`: messages in it carry that path.
"""
