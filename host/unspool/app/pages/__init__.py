"""The pages. What is known of runs and studies comes in.

A layout goes out; a page remembers nothing.
"""
