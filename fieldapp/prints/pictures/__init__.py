"""The frame, its plan and its hubs, drawn once for paper, page and terminal."""
