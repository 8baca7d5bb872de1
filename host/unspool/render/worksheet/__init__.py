"""The worksheet on paper. A sheet of questions comes in.

PDFs go out: one to fill in, and the teacher's key.
"""
