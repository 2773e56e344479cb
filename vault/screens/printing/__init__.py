"""Paper: pages drawn by hand with QPainter, shown before they are printed, and kept as PDF.

All drawing is in tenths of a millimetre, ink on white whatever look the window has.
"""
