"""Edge files, and the one model of edges on a wheel. Times of edges come in.

A PulseTrain goes out, and estimates of slot pattern, origin and noise.
"""
