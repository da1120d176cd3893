"""What have I got? A heap of measured parts held against every frame that can be built. See README.md."""
