"""Answers in words and files: the only place that rounds and phrases."""
