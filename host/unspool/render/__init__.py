"""What people see of a result: readings, predictions, calibrations, comparisons and plans come in.

Figures, sentences, pages and the winding card go out; nothing is computed here but their layout.
"""
