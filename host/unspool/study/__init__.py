"""What several readings say together: readings of runs and their cars come in.

A Calibration, a Comparison, a RollOut or a Plan goes out.
"""
