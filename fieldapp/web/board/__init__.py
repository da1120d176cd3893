"""Stopping and going on, gusts that were read, and the chief's board."""

from fieldapp.web.board import board, stop, wind

PAGES = (stop.bp, wind.bp, board.bp)
