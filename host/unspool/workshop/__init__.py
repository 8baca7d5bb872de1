"""Parts as drawings. A car's measures come in.

A drawing in millimetres goes out. Import from the modules: a command that only offers the choices
then loads no geometry.
"""
