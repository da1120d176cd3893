"""Unpacking photos: pure functions of bytes, and a process apart in which they run under a memory ceiling."""
