"""Frames that somebody drew: read from a file of points and lines, welded, checked, and stood on the ground.

Files in reading order: record (what was drawn) · tables, drawing, mesh (one reader a kind of file) · weld (points
that are one) · faults (what no frame can have) · files (the way in) · outside (which way each hub looks) ·
standing (the shape as the rest of the room knows it).
"""
